"""Two scores compared where bars may have been cut or put in."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING, Final

from rewriter.comparing.comparison import Sides, compare
from rewriter.merging.bars import align
from rewriter.merging.profiles import profiles

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rewriter.comparing.comparison import Comparison
    from rewriter.scores.score import Score

_NOTES: Final = frozenset(("note", "pitch", "length"))
_FEW: Final = 4
"""Where notes differ in more than one bar of so many, bars may be out of step."""


def compared_in_step(a: Score, b: Score, *, with_breaks: bool = False) -> Comparison:
    """Compare two scores as music, bar with bar in their order, or else by what sounds.

    Args:
        a: a score.
        b: another.
        with_breaks: breaks of pages and systems count.

    Returns:
        Of both ways the one that leaves fewer differences.

    Raises:
        ValueError: their lengths have no common division that music needs.
    """
    found = compare(a, b, with_breaks=with_breaks)
    sides = Sides(a, b, found.pairs, found.divisions, found.in_a, found.in_b)
    if not _out_of_step(found, sides.counts):
        return found
    both = [
        (found.in_a[pair.a], found.in_b[pair.b])
        for pair in found.pairs
        if pair.a is not None and pair.b is not None
    ]
    if not both:
        return found
    one, two = (profiles(parts) for parts in zip(*both, strict=True))
    again = sides.compared(_rising(align(one, two).bars))
    return min(found, again, key=lambda way: len(way.all))


def _out_of_step(found: Comparison, counts: tuple[int, int]) -> bool:
    differ = {one.at.bar for one in found.differences if one.kind in _NOTES}
    return counts[0] != counts[1] or len(differ) * _FEW > counts[0]


def _rising(bars: Mapping[int, int]) -> dict[int, int]:
    """As many of these pairs as go forward in both scores: bars that were moved stay behind.

    >>> _rising({0: 0, 1: 4, 2: 5, 3: 1, 4: 2, 5: 3})
    {0: 0, 3: 1, 4: 2, 5: 3}
    """
    ends: list[int] = []  # the lowest partner with which a row of each length ends
    rows: list[tuple[int, int]] = []  # bars of A, and how long the row is that ends there
    for bar, partner in sorted(bars.items()):
        length = bisect_left(ends, partner)
        ends[length : length + 1] = [partner]
        rows.append((bar, length))
    kept: dict[int, int] = {}
    wanted, below = len(ends) - 1, len(bars) + max(bars.values(), default=0) + 1
    for bar, length in reversed(rows):
        if length == wanted and bars[bar] < below:
            kept[bar] = below = bars[bar]
            wanted -= 1
    return dict(sorted(kept.items()))
