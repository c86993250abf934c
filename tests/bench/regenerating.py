"""Scores made anew with a hundred edits, against parsing and writing as little as can be."""

from collections.abc import Iterator
from random import Random
from typing import NamedTuple

from lxml import etree

import rewriter
from tests.bench.movements import first_violin, full_of_signs
from tests.bench.timing import Row, at_most, interleaved
from tests.regenerating.edits import OF_A_PART, worked_on
from tests.regenerating.sources import changed

LAYOUT = "Vn I / Vn II + Vla / Vc / Db"
MOVEMENT = "beethoven/opus18no1/movement1"
BARS = (300, 3000, 10000)
EDITS = 100
FLOORS = 15.0
MOST_LONGER = 1.25
"""Seconds per bar of the longest score for those of the first; 1 is linear."""


class Cue(NamedTuple):
    """What is made anew.

    Attributes:
        now: the sketch, with some bars more.
        base: the score as it was made.
        hand: the same after the edits.
    """

    now: bytes
    base: bytes
    hand: bytes


def rows(rounds: int) -> Iterator[Row]:
    """Floors that a regeneration costs, and how it grows with the bars.

    A floor is lxml parsing the new sketch and the edited score, and serialising the score.
    """
    movement = first_violin(MOVEMENT)
    ratio, _ = _measured(_cue(movement.data, 1), rounds)
    yield at_most(f"{MOVEMENT}, {movement.bars} bars", ratio, "floors", FLOORS)
    per_bar: dict[int, float] = {}
    for bars in BARS:
        ratio, seconds = _measured(_cue(_told_apart(full_of_signs(bars)), bars), 1)
        per_bar[bars] = seconds / bars
        yield Row(f"full of signs, {bars} bars", ratio, "floors")
    for bars in BARS[1:]:
        ratio = per_bar[bars] / per_bar[BARS[0]]
        what = f"time a bar, {bars} bars for {BARS[0]}"
        yield at_most(what, ratio, "times", MOST_LONGER)
    ratio, _ = _measured(_cue(full_of_signs(BARS[0]), 1), rounds)
    yield Row(f"the same bars again and again, {BARS[0]} bars", ratio, "floors")


def _measured(cue: Cue, rounds: int) -> tuple[float, float]:
    """Floors, and seconds of the processor."""

    def floor() -> None:
        etree.fromstring(cue.now)
        etree.tostring(etree.fromstring(cue.hand))

    def ours() -> None:
        rewriter.regenerate(cue.hand, cue.now, LAYOUT, base=cue.base, by="down M2")

    spent = interleaved({"floor": floor, "ours": ours}, rounds)
    return spent["ours"].processor / spent["floor"].processor, spent["ours"].processor


def _cue(old: bytes, seed: int) -> Cue:
    longer = changed(old, ["insert bars"], 3) or changed(old, ["alter notes"], 3)
    base = rewriter.expand(old, LAYOUT).score
    rng = Random(seed)  # noqa: S311 - music, not secrets
    names = [rng.choice(sorted(OF_A_PART)) for _ in range(EDITS)]
    return Cue(longer.data if longer else old, base, worked_on(base, names, seed))


def _told_apart(sketch: bytes) -> bytes:
    """The same bars with other notes in each, as in music that goes on."""
    rng = Random(1)  # noqa: S311 - music, not secrets
    root = etree.fromstring(sketch)
    for step in root.iter("step"):
        step.text = rng.choice("CDEFGAB")
    return etree.tostring(root)
