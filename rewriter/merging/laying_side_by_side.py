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
        self._worths = [self._row(i) for i in range(self._size[0])]
        self._before = self._sums()
        self._after = self._sums_behind()

    def _near(self, i: int) -> range:
        """The bars of B that a bar of A may lie beside."""
        count_a, count_b = self._size
        if max(self._size) <= _SHORT:
            return range(count_b)
        middle = i * count_b // count_a
        room = _ROOM + abs(count_a - count_b)
        return range(max(middle - room, 0), min(middle + room + 1, count_b))

    def _row(self, i: int) -> list[int]:
        """What it is worth to lay a bar of A beside each near one of B."""
        near = self._near(i)
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

    def _sums(self) -> list[list[int]]:
        """The best worth of all bars before a pair: row by row."""
        count_a, count_b = self._size
        rows = [[0] * (count_b + 1)]
        for i in range(count_a):
            last = rows[-1]
            near = self._near(i)
            row = last[:]
            best = row[near.start]
            for j, worth in zip(near, self._worths[i], strict=True):
                best = max(best, last[j] + worth, last[j + 1])
                row[j + 1] = best
            for j in range(near.stop, count_b):
                best = max(best, last[j + 1])
                row[j + 1] = best
            rows.append(row)
        return rows

    def _sums_behind(self) -> list[list[int]]:
        """The best worth of all bars from a pair on."""
        count_a, count_b = self._size
        rows = [[0] * (count_b + 1)]
        for i in range(count_a - 1, -1, -1):
            last = rows[-1]
            near = self._near(i)
            row = last[:]
            best = row[near.stop]
            for j, worth in zip(reversed(near), reversed(self._worths[i]), strict=True):
                best = max(best, last[j + 1] + worth, last[j])
                row[j] = best
            for j in range(near.start - 1, -1, -1):
                best = max(best, last[j])
                row[j] = best
            rows.append(row)
        return rows[::-1]

    def laid(self) -> Laid:
        bars = dict(self._best_way())
        candidates: dict[int, list[int | None]] = {}
        enough = self._before[-1][-1] - _AS_GOOD
        for i, worths in enumerate(self._worths):
            before, after = self._before[i], self._after[i + 1]
            ways: list[int | None] = [
                self._b.where[j]
                for j, worth in zip(self._near(i), worths, strict=True)
                if worth >= _PAIRED + _worth_of(SOME)
                and before[j] + worth + after[j + 1] >= enough
            ]
            if any(one + two >= enough for one, two in zip(before, after, strict=True)):
                ways.append(None)
            if len(ways) > 1:
                candidates[self._a.where[i]] = ways
        return Laid(bars, candidates)

    def _best_way(self) -> Iterator[tuple[int, int]]:
        """From the end on, pairs rather than bars left alone."""
        i, j = self._size
        while i and j:
            here = self._before[i][j]
            near = self._near(i - 1)
            if j - 1 in near:
                worth = self._worths[i - 1][j - 1 - near.start]
                if self._before[i - 1][j - 1] + worth == here:
                    i, j = i - 1, j - 1
                    yield self._a.where[i], self._b.where[j]
                    continue
            if self._before[i][j - 1] == here:
                j -= 1
            else:
                i -= 1
