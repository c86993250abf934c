"""The library call against the floor: parsing its input and serialising its output, no more."""

from collections.abc import Callable, Iterator

from lxml import etree

import rewriter
from tests.bench.movements import LAYOUT, NAMES, Movement, first_violin, quartet
from tests.bench.timing import Row, at_most, interleaved

AIM, MOST = 2.0, 4.0


def rows(rounds: int) -> Iterator[Row]:
    """Floors of each movement, as one part and as a whole quartet."""
    groups: tuple[tuple[str, Callable[[str], Movement]], ...] = (
        ("first violin", first_violin),
        ("whole quartet", quartet),
    )
    for group, movement in groups:
        for name in NAMES:
            yield _row(f"{name}, {group}", movement(name), rounds)


def _row(what: str, movement: Movement, rounds: int) -> Row:
    tree = etree.fromstring(_expanded(movement))

    def floor() -> None:
        etree.fromstring(movement.data)
        etree.tostring(tree, encoding="UTF-8")

    seconds = interleaved({"floor": floor, "ours": lambda: _expanded(movement)}, rounds)
    ours, least = seconds["ours"], seconds["floor"]
    wall = ours.wall / least.wall
    note = f"{movement.bars} bars, {len(movement.data) // 1000} kB; by the clock {wall:.2f}"
    ratio = ours.processor / least.processor
    row = at_most(what, ratio, "floors", AIM, note)
    return row._replace(aim=f"{row.aim}, never over {MOST:g}")


def _expanded(movement: Movement) -> bytes:
    return rewriter.expand(movement.data, LAYOUT, tune=movement.tune).score
