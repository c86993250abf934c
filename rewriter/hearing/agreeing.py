"""Where two lines agree for so long that they are one line, whatever differs in between.

All that is asked of a line here is when its notes begin and end; which of them agree is told.
So the same looks for doublings, for a sketch in a score, and for a tune that comes back.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

_MOST_IN_A_ROW: Final = 2
"""Different notes in a row that do not end it; the third does."""
AGREEING_TO_DIFFERING: Final = 7
"""At most one note in eight differs."""
_SHORT: Final = 12
"""Notes: a stretch that has more and is not enough has nothing in it that is."""


class Note(Protocol):
    """A note in time."""

    @property
    def time(self) -> int:
        """When it begins."""

    @property
    def end(self) -> int:
        """When it ends."""


class Silence(Protocol):
    """What tells how long a silence is."""

    def longer_than_a_bar(self, end: int, following: int) -> bool:
        """True when silence lasts longer than the bar it begins in."""

    def lasts_a_beat(self, end: int, following: int) -> bool:
        """True when silence lasts a beat or more."""


Pair = tuple[int, int]
"""Indexes of two notes that agree, one of either line."""


class Run(NamedTuple):
    """Agreeing notes without a different one between them.

    Attributes:
        first: index of its first pair.
        last: of its last one.
        before: how many different moments lie between it and the run before.
        opens: True when a stretch may begin with it.
        closes: True when one may end with it.
    """

    first: int
    last: int
    before: int
    opens: bool = True
    closes: bool = True

    @property
    def length(self) -> int:
        """How many notes agree."""
        return self.last - self.first + 1


def chains(
    one: Sequence[Note], other: Sequence[Note], pairs: Sequence[Pair], silence: Silence
) -> Iterator[list[Run]]:
    """Runs of pairs, as far as nothing ends them.

    What ends them: a third different note in a row, or a rest of both longer than a bar.

    Args:
        one: notes of a line, in the order of time.
        other: of another, in the same time.
        pairs: of notes that agree and begin together, in the order of time.
        silence: how long rests are.
    """

    def run(first: int, last: int, before: int) -> Run:
        if first < last:
            return Run(first, last, before)
        both = (one, pairs[first][0]), (other, pairs[first][1])
        opens, closes = (
            all(rests(notes, at + behind, silence) for notes, at in both) for behind in (0, 1)
        )
        return Run(first, last, before, opens, closes)

    chain: list[Run] = []
    first, differing = 0, 0
    for at in range(1, len(pairs)):
        (i, j), (next_i, next_j) = pairs[at - 1], pairs[at]
        between = 0
        if next_i == i + 1 and next_j == j + 1:
            end, time = max(one[i].end, other[j].end), one[next_i].time
            ended = end < time and silence.longer_than_a_bar(end, time)
        else:
            between = _moments_between(one[i + 1 : next_i], other[j + 1 : next_j])
            ended = between > _MOST_IN_A_ROW or _both_rest(
                one[i : next_i + 1], other[j : next_j + 1], silence
            )
        if ended or between:
            chain.append(run(first, at - 1, differing))
            first, differing = at, between
        if ended:
            yield chain
            chain, differing = [], 0
    if pairs:
        chain.append(run(first, len(pairs) - 1, differing))
        yield chain


def rests(notes: Sequence[Note], at: int, silence: Silence) -> bool:
    """True when a line rests for a beat before one of its notes, or begins or ends there.

    Args:
        notes: of the line.
        at: index; their number for the end.
        silence: how long rests are.
    """
    if at in {0, len(notes)}:
        return True
    return silence.lasts_a_beat(notes[at - 1].end, notes[at].time)


def _moments_between(one: Sequence[Note], other: Sequence[Note]) -> int:
    """How many moments something begins at; more than are counted where it is many."""
    most = max(len(one), len(other))
    if most > _MOST_IN_A_ROW:
        return most
    return len({note.time for note in (*one, *other)})


def _both_rest(one: Sequence[Note], other: Sequence[Note], silence: Silence) -> bool:
    """True when both rest for longer than a bar between the first pair given and the last."""
    end = 0
    for note in sorted((*one, *other), key=lambda note: note.time):
        if end and silence.longer_than_a_bar(end, note.time):
            return True
        end = max(end, note.end)
    return False


def stretches(
    chain: Sequence[Run], is_enough: Callable[[int, int], bool]
) -> Iterator[list[Run]]:
    """The stretches of a chain in which at most one moment in eight differs.

    From the left, each as long as it can be. None begins or ends with a single note cut off by
    a different one, which agrees by chance, if it does not begin or end a phrase of both.

    Args:
        chain: from :func:`chains`.
        is_enough: told the first and the last pair, whether it is worth a name.

    >>> def found(chain):
    ...     long = stretches(chain, lambda first, last: first < last)
    ...     return [[(run.first, run.last) for run in stretch] for stretch in long]
    >>> found([Run(0, 3, 0), Run(4, 12, 2), Run(13, 19, 1)])
    [[(0, 3)], [(4, 12), (13, 19)]]
    >>> found([Run(0, 2, 0), Run(3, 15, 2), Run(16, 16, 1, closes=False)])
    [[(0, 2), (3, 15)]]
    """
    worth: list[int] = []  # of the chain up to and with each run
    total = 0
    for run in chain:
        total += run.length - AGREEING_TO_DIFFERING * run.before
        worth.append(total)
    best = list(worth)  # of any that ends at a run or behind it
    for at in range(len(best) - 2, -1, -1):
        best[at] = max(best[at], best[at + 1])
    start = 0
    while start < len(chain):
        stop = _last_with(best, worth[start] - chain[start].length, start)
        first, last = _without_chance(chain, start, stop)
        if is_enough(chain[first].first, chain[last].last):
            yield list(chain[first : last + 1])
            start = last + 1
        elif chain[last].last - chain[first].first < _SHORT:
            start += 1  # its beginning may have kept it from what follows
        else:
            start = stop + 1


def _last_with(best: Sequence[int], wanted: int, low: int) -> int:
    """The last place where so much is reached; it is reached at the lowest."""
    high = len(best) - 1
    while low < high:
        middle = (low + high + 1) // 2
        if best[middle] >= wanted:
            low = middle
        else:
            high = middle - 1
    return low


def _without_chance(chain: Sequence[Run], first: int, last: int) -> tuple[int, int]:
    while first < last and not chain[first].opens:
        first += 1
    while first < last and not chain[last].closes:
        last -= 1
    return first, last
