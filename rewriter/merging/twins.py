"""Runs of bars held where they are by nothing but how they sound: do they fit elsewhere?"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

from rewriter.merging.laying_side_by_side import SOME

if TYPE_CHECKING:
    from collections.abc import (
        Callable,
        Container,
        Hashable,
        Iterable,
        Iterator,
        Mapping,
        Sequence,
    )

    from rewriter.merging.profiles import Profile

Pair = tuple[int, int]

_AS_GOOD: Final = 9
"""Likeness by so little less counts as just as good."""


def elsewhere_as_well(
    found: Mapping[int, int],
    certain: Iterable[Pair],
    doubtful: Container[int],
    a: Sequence[Profile],
    b: Sequence[Profile],
) -> dict[int, list[int | None]]:
    """Bars of runs that could stand elsewhere as well, and where.

    A run is held by a bar in it that both scores have once, or by beginning or ending where
    both scores do. Where bars were cut and others put in, a run that nothing holds may be the
    twin of what it seems to be.

    Args:
        found: indexes in A to indexes in B.
        certain: pairs of bars that each side has once.
        doubtful: bars of A that have several candidates already.
        a: bars.
        b: bars.

    Returns:
        All candidates of bars of A that have several.
    """
    pairs = [pair for pair in sorted(found.items()) if pair[0] not in doubtful]
    held = set(certain) | set(_once_in_both(pairs, a, b))
    held |= {(0, 0), (len(a) - 1, len(b) - 1)}
    loose, taken = [], set()
    for run in _runs(pairs):
        if held.isdisjoint(run):
            loose.append(run)
        else:
            taken |= {two for _, two in run}
    several: dict[int, list[int | None]] = {}
    for run in loose:
        places = _occurrences(run, a, b, taken)
        if len(places) > 1:
            for step, (one, _) in enumerate(run):
                several[one] = [place + step for place in places]
    return several


def _once_in_both(
    pairs: Sequence[Pair], a: Sequence[Profile], b: Sequence[Profile]
) -> Iterator[Pair]:
    keys: tuple[Callable[[Profile], Hashable], ...] = (
        lambda bar: bar.heard,
        lambda bar: bar.tune,
    )
    for key in keys:
        ones, twos = (Counter(map(key, bars)) for bars in (a, b))
        for one, two in pairs:
            said = key(a[one])
            if said == key(b[two]) and ones[said] == twos[said] == 1:
                yield one, two


def _runs(pairs: Iterable[Pair]) -> Iterator[list[Pair]]:
    run: list[Pair] = []
    for one, two in pairs:
        if run and run[-1] != (one - 1, two - 1):
            yield run
            run = []
        run.append((one, two))
    if run:
        yield run


def _occurrences(
    run: Sequence[Pair], a: Sequence[Profile], b: Sequence[Profile], taken: Container[int]
) -> list[int]:
    """Where in B a run could begin."""
    wanted = [max(a[one].likeness(b[two]) - _AS_GOOD, SOME) for one, two in run]
    first = run[0][0]
    return [
        start
        for start in range(len(b) - len(run) + 1)
        if all(
            start + step not in taken and a[first + step].likeness(b[start + step]) >= least
            for step, least in enumerate(wanted)
        )
    ]
