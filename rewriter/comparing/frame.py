"""The bars of two scores on one line of time, so that places in both can be compared."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

from rewriter.theory.time import Timeline

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rewriter.comparing.things import Point


class Frame:
    """Where bars of A, and those of B that answer to them, begin.

    Attributes:
        bars: indexes in A to indexes in B.
    """

    def __init__(self, bars: Mapping[int, int], lengths: Sequence[int]) -> None:
        """Lay out the bars of A.

        Args:
            bars: indexes in A to indexes in B; rising in both.
            lengths: of A's bars, in divisions.
        """
        self.bars = dict(bars)
        self._starts = Timeline(lengths).starts
        self._to_a = {b: a for a, b in self.bars.items()}
        self._known = sorted(self._to_a)

    def bar_of_b(self, bar: int) -> int:
        """The bar of A that a bar of B answers to, or would if it went on in step."""
        known = self._to_a.get(bar)
        if known is not None or not self._known:
            return bar if known is None else known
        near = self._known[max(bisect_right(self._known, bar) - 1, 0)]
        return self._to_a[near] + bar - near

    def time_in_a(self, point: Point) -> int:
        """Divisions from the start of A to a place in A."""
        return self._start(point.bar) + point.onset

    def time_in_b(self, point: Point) -> int:
        """Divisions from the start of A to the place that answers to one in B."""
        return self._start(self.bar_of_b(point.bar)) + point.onset

    def _start(self, bar: int) -> int:
        last = len(self._starts) - 1
        return self._starts[bar] if 0 <= bar <= last else self._starts[last] + bar - last
