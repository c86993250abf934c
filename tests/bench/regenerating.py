"""Scores made anew with a hundred edits, against parsing and writing as little as can be."""

from collections.abc import Iterator
from random import Random

from lxml import etree

import rewriter
from tests.bench.movements import full_of_signs
from tests.bench.timing import Row, at_most, interleaved
from tests.regenerating.edits import OF_A_PART, worked_on
from tests.regenerating.sources import changed

LAYOUT = "Vn I / Vn II + Vla / Vc / Db"
BARS = (300, 3000, 10000)
EDITS = 100
FLOORS = 15.0
MOST_LONGER = 1.25
"""Seconds per bar of the longest score for those of the first; 1 is linear."""


def rows(rounds: int) -> Iterator[Row]:
    """Floors that a regeneration costs, and how it grows with the bars.

    A floor is lxml parsing the new sketch and the edited score, and serialising the score.
    """
    per_bar: dict[int, float] = {}
    for bars in BARS:
        old = full_of_signs(bars)
        longer = changed(old, ["insert bars"], 3) or changed(old, ["alter notes"], 3)
        now = longer.data if longer else old
        base = rewriter.expand(old, LAYOUT).score
        rng = Random(bars)  # noqa: S311 - music, not secrets
        names = [rng.choice(sorted(OF_A_PART)) for _ in range(EDITS)]
        hand = worked_on(base, names, bars)

        def floor(now: bytes = now, hand: bytes = hand) -> None:
            etree.fromstring(now)
            etree.tostring(etree.fromstring(hand))

        def ours(now: bytes = now, hand: bytes = hand, base: bytes = base) -> None:
            rewriter.regenerate(hand, now, LAYOUT, base=base, by="down M2")

        spent = interleaved({"floor": floor, "ours": ours}, rounds if bars == BARS[0] else 1)
        ratio = spent["ours"].processor / spent["floor"].processor
        per_bar[bars] = spent["ours"].processor / bars
        note = f"five parts, {EDITS} edits, {len(hand) // 1000} kB"
        if bars == BARS[0]:
            yield at_most(f"{bars} bars", ratio, "floors", FLOORS, note)
        else:
            yield Row(f"{bars} bars", ratio, "floors", note=note)
    for bars in BARS[1:]:
        ratio = per_bar[bars] / per_bar[BARS[0]]
        what = f"time a bar, {bars} bars for {BARS[0]}"
        yield at_most(what, ratio, "times", MOST_LONGER)
