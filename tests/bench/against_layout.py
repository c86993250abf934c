"""A plan against one layout over the whole, and the parts in floors."""

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from lxml import etree

import rewriter
from tests.bench.movements import LAYOUT, first_violin
from tests.bench.timing import Row, at_most, interleaved

NAMES = ("beethoven/opus18no1/movement1", "haydn/opus74no1/movement1", "mozart/k458/movement1")
STACKS = (
    "Vc",
    "Vn I / Vla",
    LAYOUT,
    "Vn I / Vn II / Vla / Vc",
    "Vn I + Vn II / half Vc",
    LAYOUT,
)
HANDOVER = """
[line."Vc"]
handover = { above = "A4", to = "Vla", at = "slur", leave = true }
"""
PLAN_AIM, PARTS_AIM = 1.25, 2.0


def rows(rounds: int) -> Iterator[Row]:
    """Times of a plan of six passages with handovers, and floors of five parts."""
    for name in NAMES:
        movement = first_violin(name)
        with TemporaryDirectory() as folder:
            plan = _plan(Path(folder), movement.data)
            seconds = interleaved(
                {
                    "layout": lambda data=movement.data: rewriter.expand(data, LAYOUT),
                    "plan": lambda data=movement.data, plan=plan: rewriter.expand(
                        data, plan=plan
                    ),
                },
                rounds,
            )
        ratio = seconds["plan"].wall / seconds["layout"].wall
        note = f"{movement.bars} bars, six passages, handovers"
        yield at_most(f"{name}, plan", ratio, "times", PLAN_AIM, note)
        yield _parts(name, movement.data, rounds)


def _plan(folder: Path, data: bytes) -> str:
    """Passages of equal length, every other with a handover."""
    bars = [measure.get("number") for measure in etree.fromstring(data).iter("measure")]
    size = len(bars) // len(STACKS)
    passages = []
    for place, stack in enumerate(STACKS):
        (folder / f"{place}.toml").write_text(
            f'title = "{place}"\nstack = "{stack}"\n{HANDOVER if "Vc" in stack else ""}',
            encoding="utf-8",
        )
        last = bars[-1] if place == len(STACKS) - 1 else bars[(place + 1) * size - 1]
        passages.append(
            f'[[passage]]\nbars = "{bars[place * size]}-{last}"\nlayout = "{place}.toml"\n'
        )
    plan = folder / "plan.toml"
    plan.write_text("".join(passages), encoding="utf-8")
    return str(plan)


def _parts(name: str, data: bytes, rounds: int) -> Row:
    score = rewriter.expand(data, LAYOUT).score
    tree = etree.fromstring(score)

    def floor() -> None:
        etree.fromstring(data)
        etree.tostring(tree, encoding="UTF-8")

    seconds = interleaved(
        {"floor": floor, "parts": lambda: rewriter.parts(score, stem="movement")}, rounds
    )
    ratio = seconds["parts"].wall / seconds["floor"].wall
    return at_most(f"{name}, five parts", ratio, "floors", PARTS_AIM)
