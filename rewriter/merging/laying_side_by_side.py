"""Two stretches of bars laid side by side so that as much as possible is alike."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.merging.profiles import Profile

SOME: Final = 35
"""Bars less like each other than this have nothing to do with each other."""

_PAIRED: Final = 5
"""What it is worth that two bars are not left alone, however unlike."""
_SILENT: Final = 30
"""What bars are worth in which nothing sounds: they say little about where one is."""
_SIGN: Final = 15
"""What a rehearsal mark or double bar that both have is worth."""
_AS_GOOD: Final = 9
"""A way to lay them that is worth so little less counts as just as good."""
_ROOM: Final = 48
"""Bars that a long stretch may wander from its diagonal."""
_SHORT: Final = 160
"""Up to so many bars any way is tried."""
_NEVER: Final = -(10**9)


class Side(NamedTuple):
    """A stretch of a score."""

    bars: Sequence[Profile]
    where: range


class Laid(NamedTuple):
    """How two stretches lie.

    Attributes:
        bars: indexes in A to indexes in B, on one of the best ways.
        candidates: of bars of A that lie elsewhere on another way that is as good.
    """

    bars: dict[int, int]
    candidates: dict[int, list[int | None]]


def laid_side_by_side(a: Side, b: Side, *, marks: bool) -> Laid:
    """Lay two stretches side by side.

    Args:
        a: of one score.
        b: of the other.
        marks: rehearsal marks say where one is.
    """
    if not (a.where and b.where):
        return Laid({}, {})
    return _Table(a, b, marks=marks).laid()


def _worth_of(likeness: int) -> int:
    """One bar that is the same is worth more than several that are a little alike."""
    return likeness * likeness // 100


def _alone(one: Profile, two: Profile) -> int:
    """What it is worth that two bars lie side by side, by their sound alone."""
    alike = one.likeness(two)
    return _PAIRED + (_SILENT if alike and one.silent else _worth_of(alike))


class _Row(NamedTuple):
    """What bars are worth together up to a place in A, or from it on, near its diagonal.

    Attributes:
        first: the first place in B that it has.
        worths: from there on; beyond its ends they are as at the ends.
    """

    first: int
    worths: list[int]

    def between(self, start: int, stop: int) -> list[int]:
        """Those of places in B from one to before another."""
        end = self.first + len(self.worths)
        left = [self.worths[0]] * (min(self.first, stop) - start)
        right = [self.worths[-1]] * (stop - max(end, start))
        within = self.worths[max(start - self.first, 0) : max(stop - self.first, 0)]
        return [*left, *within, *right]


class _Table:
    """The worth of every way to lay them: up to each pair of bars, and from it on."""

    def __init__(self, a: Side, b: Side, *, marks: bool) -> None:
        self._a = a
        self._b = b
        self._size = len(a.where), len(b.where)
        self._marks = marks
        self._known: dict[tuple[int, int], int] = {}
        ids: dict[object, int] = {}
        self._ids = [
            [ids.setdefault(side.bars[place].heard, len(ids)) for place in side.where]
            for side in (a, b)
        ]
        self._near = [self._nearest(i) for i in range(self._size[0])]
        self._worths = [self._row(i) for i in range(self._size[0])]
        self._before = self._sums()
        self._after = self._sums_behind()

    def _nearest(self, i: int) -> range:
        """The bars of B that a bar of A may lie beside."""
        count_a, count_b = self._size
        if max(self._size) <= _SHORT:
            return range(count_b)
        middle = i * count_b // count_a
        room = _ROOM + abs(count_a - count_b)
        return range(max(middle - room, 0), min(middle + room + 1, count_b))

    def _row(self, i: int) -> list[int]:
        """What it is worth to lay a bar of A beside each near one of B."""
        near = self._near[i]
        one = self._a.bars[self._a.where[i]]
        mine, theirs = self._ids[0][i], self._ids[1]
        known = self._known
        row = []
        for j in near:
            key = mine, theirs[j]
            if key not in known:
                known[key] = _alone(one, self._b.bars[self._b.where[j]])
            row.append(known[key])
        if one.edges or (self._marks and one.marks):
            return [
                worth + self._of_signs(one, self._b.bars[self._b.where[j]])
                for j, worth in zip(near, row, strict=True)
            ]
        return row

    def _of_signs(self, one: Profile, two: Profile) -> int:
        worth = 0
        if self._marks and one.marks and two.marks:
            worth += _SIGN if one.marks == two.marks else -_SIGN
        if one.edges and one.edges == two.edges:
            worth += _SIGN
        return worth

    def _sums(self) -> list[_Row]:
        """The best worth of all bars before a pair: row by row."""
        rows = [_Row(0, [0])]
        for near, worths in zip(self._near, self._worths, strict=True):
            above = rows[-1].between(near.start, near.stop + 1)
            rows.append(_Row(near.start, _best_so_far(above, worths)))
        return rows

    def _sums_behind(self) -> list[_Row]:
        """The best worth of all bars from a pair on."""
        rows = [_Row(self._size[1], [0])]
        for near, worths in zip(self._near[::-1], self._worths[::-1], strict=True):
            below = rows[-1].between(near.start, near.stop + 1)
            rows.append(_Row(near.start, _best_so_far(below[::-1], worths[::-1])[::-1]))
        return rows[::-1]

    def laid(self) -> Laid:
        bars = dict(self._best_way())
        candidates: dict[int, list[int | None]] = {}
        enough = self._worth_before(*self._size) - _AS_GOOD
        for i, (near, worths) in enumerate(zip(self._near, self._worths, strict=True)):
            before = self._before[i].between(near.start, near.stop)
            after = self._after[i + 1].between(near.start + 1, near.stop + 1)
            ways: list[int | None] = [
                self._b.where[j]
                for j, worth, one, two in zip(near, worths, before, after, strict=True)
                if worth >= _PAIRED + _worth_of(SOME) and one + worth + two >= enough
            ]
            if self._worth_without(i) >= enough:
                ways.append(None)
            if len(ways) > 1:
                candidates[self._a.where[i]] = ways
        return Laid(bars, candidates)

    def _worth_without(self, i: int) -> int:
        """The best worth of all other bars of A: cut in two at any place of B."""
        before, after = self._before[i], self._after[i + 1]
        start, stop = after.first, before.first + len(before.worths)
        start = min(start, stop - 1)  # what lies beyond is as at the ends
        both = zip(before.between(start, stop), after.between(start, stop), strict=True)
        return max(one + two for one, two in both)

    def _worth_before(self, i: int, j: int) -> int:
        while j < self._before[i].first:
            i -= 1  # nothing so far to the left is laid beside the last bar
        first, worths = self._before[i]
        return worths[min(j - first, len(worths) - 1)]

    def _best_way(self) -> Iterator[tuple[int, int]]:
        """From the end on, pairs rather than bars left alone."""
        i, j = self._size
        while i and j:
            here = self._worth_before(i, j)
            near = self._near[i - 1]
            if j - 1 in near:
                worth = self._worths[i - 1][j - 1 - near.start]
                if self._worth_before(i - 1, j - 1) + worth == here:
                    i, j = i - 1, j - 1
                    yield self._a.where[i], self._b.where[j]
                    continue
            if self._worth_before(i, j - 1) == here:
                j -= 1
            else:
                i -= 1


def _best_so_far(last: Sequence[int], worths: Sequence[int]) -> list[int]:
    """A row from the one before it: one place more than there are pairs."""
    best = last[0]
    row = [best]
    for worth, corner, beside in zip(worths, last, last[1:], strict=False):
        best = max(best, corner + worth, beside)
        row.append(best)
    return row
