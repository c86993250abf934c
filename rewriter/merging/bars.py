"""Which bar of one score is which of another, and where nobody can tell.

Bars that both have once are certain, in the order most of them keep; between them bars lie
so that as much as possible is alike. Most bars have a twin somewhere: where another
way to lay them is as good, a bar has several candidates and none of them is chosen.
"""

from __future__ import annotations

from bisect import bisect_left
from itertools import count, pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.merging.laying_side_by_side import SOME, Side, laid_side_by_side
from rewriter.merging.profiles import EXACTLY
from rewriter.merging.twins import elsewhere_as_well

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterator, Sequence

    from rewriter.merging.profiles import Profile

Pair = tuple[int, int]

_FURTHER: Final = 64
"""So many bars at a time are looked for where one may have been put in or taken out."""
_NEARLY_ALL: Final = 5
"""All but one of so many."""


class Alignment(NamedTuple):
    """Bars of A and those of B that they are.

    Attributes:
        bars: indexes in A to indexes in B; where several are as good, one of them.
        candidates: bars of A that may be one of several of B, or (None) may be gone.
        unlike: bars of A whose partner has little in common with them: another bar stands in
            their place.
    """

    bars: dict[int, int]
    candidates: dict[int, list[int | None]]
    unlike: frozenset[int]

    @property
    def certain(self) -> dict[int, int]:
        """Bars of which it is known."""
        return {a: b for a, b in self.bars.items() if a not in self.candidates}


class _Region(NamedTuple):
    """Bars of A and of B between two that are certain."""

    a: range
    b: range


def align(a: Sequence[Profile], b: Sequence[Profile]) -> Alignment:
    """Find which bar is which.

    Args:
        a: bars of a score.
        b: bars of another, the same parts.
    """
    trusted = _marks_are_kept(a, b)
    certain: list[Pair] = []
    regions = [_Region(range(len(a)), range(len(b)))]
    keys: list[Callable[[Profile], Hashable]] = [_heard, _tune]
    if trusted:
        keys.insert(0, _mark)
    for key in keys:
        regions = [part for region in regions for part in _cut(region, a, b, key, certain)]
    found = dict(certain)
    candidates: dict[int, list[int | None]] = {}
    for region in regions:
        if _is_the_same(region, a, b) or _is_much_the_same(region, a, b):
            found |= zip(region.a, region.b, strict=True)
            continue
        inner = _in_question(region, a, b)
        found |= zip(range(region.a.start, inner.a.start), count(region.b.start), strict=False)
        found |= zip(range(inner.a.stop, region.a.stop), count(inner.b.stop), strict=False)
        laid = laid_side_by_side(Side(a, inner.a), Side(b, inner.b), marks=trusted)
        found |= laid.bars
        candidates |= laid.candidates
    found = _without_chance(found, a, b)
    unlike = {one for one, two in found.items() if a[one].likeness(b[two]) < SOME}
    moved = _moved(found, candidates, unlike, a, b)
    found = {
        one: two for one, two in found.items() if two not in moved.values() or one not in unlike
    } | moved
    unlike -= moved.keys()
    candidates = {
        one: said for one, said in candidates.items() if one not in unlike and one not in moved
    }
    candidates |= elsewhere_as_well(found, certain, candidates, a, b)
    return Alignment(dict(sorted(found.items())), candidates, frozenset(unlike & found.keys()))


def _heard(bar: Profile) -> Hashable:
    return None if bar.silent else bar.heard


def _tune(bar: Profile) -> Hashable:
    return bar.tune or None


def _mark(bar: Profile) -> Hashable:
    return bar.marks or None


def _marks_are_kept(a: Sequence[Profile], b: Sequence[Profile]) -> bool:
    """True unless a mark may have been put in between and those behind it named anew.

    That shows in nothing but that one row of names begins like the other and is longer.
    """
    rows = [[name for bar in bars for name in sorted(bar.marks)] for bars in (a, b)]
    short, long = sorted(rows, key=len)
    return short == long or long[: len(short)] != short


def _cut(
    region: _Region,
    a: Sequence[Profile],
    b: Sequence[Profile],
    key: Callable[[Profile], Hashable],
    certain: list[Pair],
) -> Iterator[_Region]:
    """A region cut at the bars that both sides have once; these go to what is certain."""
    if _is_the_same(region, a, b):
        yield region
        return
    ones, twos = (
        _single({place: key(bars[place]) for place in side})
        for side, bars in ((region.a, a), (region.b, b))
    )
    pairs = [
        (one, twos[said])
        for said, one in ones.items()
        if said in twos and a[one].likeness(b[twos[said]]) >= SOME
    ]
    kept = _longest_rise(sorted(pairs))
    certain += kept
    fixed = [
        (region.a.start - 1, region.b.start - 1), *kept, (region.a.stop, region.b.stop)
    ]  # fmt: skip
    for (one, two), (next_one, next_two) in pairwise(fixed):
        between = _Region(range(one + 1, next_one), range(two + 1, next_two))
        if between.a or between.b:
            yield between


def _single(said: dict[int, Hashable]) -> dict[Hashable, int]:
    """What is said once, and where."""
    places: dict[Hashable, list[int]] = {}
    for place, text in said.items():
        if text is not None:
            places.setdefault(text, []).append(place)
    return {text: found[0] for text, found in places.items() if len(found) == 1}


def _longest_rise(pairs: Sequence[Pair]) -> list[Pair]:
    """As many pairs as rise in both scores."""
    tails: list[int] = []
    ends: list[int] = []
    before: list[int] = []
    for place, (_, two) in enumerate(pairs):
        at = bisect_left(tails, two)
        before.append(ends[at - 1] if at else -1)
        tails[at : at + 1] = [two]
        ends[at : at + 1] = [place]
    found = []
    place = ends[-1] if ends else -1
    while place >= 0:
        found.append(pairs[place])
        place = before[place]
    return found[::-1]


def _is_the_same(region: _Region, a: Sequence[Profile], b: Sequence[Profile]) -> bool:
    return len(region.a) == len(region.b) and all(
        a[one].heard == b[two].heard for one, two in zip(*region, strict=True)
    )


def _is_much_the_same(region: _Region, a: Sequence[Profile], b: Sequence[Profile]) -> bool:
    """True for as many bars on either side, nearly all the same, the others much alike."""
    if len(region.a) != len(region.b):
        return False
    pairs = [(a[one], b[two]) for one, two in zip(*region, strict=True)]
    others = [(one, two) for one, two in pairs if one.heard != two.heard]
    return len(others) * _NEARLY_ALL <= len(pairs) and all(
        one.likeness(two) >= SOME for one, two in others
    )


def _in_question(region: _Region, a: Sequence[Profile], b: Sequence[Profile]) -> _Region:
    """A region without the bars at both its ends that are the same and fit nowhere else.

    From the first bar that differs back, bars are in question as far as they sound like those
    a few bars further on: there one of them may have been put in or taken out.
    """
    ones, twos = (
        [bars[at].heard for at in side] for side, bars in zip(region, (a, b), strict=True)
    )
    head = _held(ones, twos)
    tail = _held(ones[head:][::-1], twos[head:][::-1])
    return _Region(
        range(region.a.start + head, region.a.stop - tail),
        range(region.b.start + head, region.b.stop - tail),
    )


def _held(a: Sequence[Hashable], b: Sequence[Hashable]) -> int:
    """How many bars at the beginning are the same and fit nowhere else."""
    same = next((n for n, (one, two) in enumerate(zip(a, b, strict=False)) if one != two), None)
    same = min(len(a), len(b)) if same is None else same
    held = same
    for step in range(1, _FURTHER + 1):
        for one, two in ((a, b), (b, a)):
            at = same
            while at and at - 1 + step < len(two) and one[at - 1] == two[at - 1 + step]:
                at -= 1
            held = min(held, at)
    return held


def _without_chance(
    found: dict[int, int], a: Sequence[Profile], b: Sequence[Profile]
) -> dict[int, int]:
    """Without pairs that have little in common, unless as many bars stand on either side.

    Then each stands in the place of the other; else nothing says which is where.
    """
    alike = [(-1, -1)]
    alike += [pair for pair in sorted(found.items()) if a[pair[0]].likeness(b[pair[1]]) >= SOME]
    alike.append((len(a), len(b)))
    kept = dict(alike[1:-1])
    for (one, two), (next_one, next_two) in pairwise(alike):
        if next_one - one == next_two - two:
            kept |= zip(range(one + 1, next_one), range(two + 1, next_two), strict=True)
    return kept


def _moved(
    found: dict[int, int],
    candidates: dict[int, list[int | None]],
    unlike: set[int],
    a: Sequence[Profile],
    b: Sequence[Profile],
) -> dict[int, int]:
    """Bars that stand elsewhere now: runs with a bar in them that both scores have once."""
    free_a = [
        n for n in range(len(a)) if n not in candidates and (n not in found or n in unlike)
    ]
    taken = {two for one, two in found.items() if one not in unlike}
    free_b = set(range(len(b))) - taken
    ones, twos = (
        _single({place: _heard(bar) for place, bar in enumerate(bars)}) for bars in (a, b)
    )
    moved = {
        ones[said]: twos[said]
        for said in ones.keys() & twos.keys()
        if ones[said] in free_a and twos[said] in free_b
    }
    for step in (1, -1):
        for one in sorted(moved, reverse=step < 0):
            two = moved[one]
            while True:
                one, two = one + step, two + step  # noqa: PLW2901 - it walks away from the bar
                if one not in free_a or two not in free_b or one in moved:
                    break
                if a[one].likeness(b[two]) < EXACTLY:
                    break
                moved[one] = two
    return moved
