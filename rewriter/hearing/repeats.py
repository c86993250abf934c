"""Stretches of a line that come back, also transposed: every pair of them that agrees."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.hearing.agreeing import AGREEING_TO_DIFFERING, chains, stretches
from rewriter.hearing.tune_notes import moved

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Iterator, Sequence

    from rewriter.hearing.agreeing import Pair
    from rewriter.hearing.lines import Bars
    from rewriter.hearing.tune_notes import DueNote

_FEWEST_BARS: Final = 4
_FEWEST_NOTES: Final = 12
_FEWEST_PITCHES: Final = 5
"""What makes a stretch a statement; shorter ones flood the list: stretches of two bars make 27
pairs in 100 bars of quartets, of four under three."""
_WINDOW: Final = 4
"""Notes looked up at once, see ``hearing.searching``."""
_BESIDE: Final = 8
"""Notes beside those that were looked up which may belong to the same stretch."""
_NEIGHBOURS: Final = 16
"""Places before it that a figure is compared with: more of them tell no more."""


class Repeat(NamedTuple):
    """A stretch and its coming back.

    Attributes:
        pairs: indexes of the notes that agree, of the earlier and of the later stretch.
        semitones: from the earlier to the later, upward positive.
    """

    pairs: tuple[Pair, ...]
    semitones: float


def repeats_in(notes: Sequence[DueNote], bars: Bars) -> list[Repeat]:
    """Every stretch that comes back and is long enough; none overlaps its own return.

    Args:
        notes: of a line, in the order of time.
        bars: they stand in.
    """
    line = _Line(notes, bars)
    found: list[Repeat] = []
    for distance, earlier in sorted(_alike(notes).items()):
        for first, last in _clusters(sorted(earlier)):
            if first == last:  # a statement has more, since one note in eight may differ
                continue
            near = range(max(first - _BESIDE, 0), min(last + _BESIDE + 1, len(notes)))
            for stretch in line.stretches(line.agreeing(near, distance), distance):
                found += line.one_after_the_other(stretch, distance)
    return found


def is_a_statement(notes: Sequence[DueNote], pairs: Sequence[Pair], bars: Bars) -> bool:
    """True where a stretch is long enough, and agrees enough, to be called a statement.

    The bar counts in which its last note ends, but none that it enters behind the middle, as
    with an upbeat.

    Args:
        notes: of the line.
        pairs: of notes that agree, of the earlier and of the later stretch.
        bars: they stand in.
    """
    if len(pairs) < _FEWEST_NOTES:
        return False
    start = notes[pairs[0][0]].time
    begun = bars.bar_at(start)
    middle = (bars.starts[begun] + bars.starts[begun + 1]) / 2
    first = begun + (start > middle)
    if bar_of_end(notes[pairs[-1][0]], bars) + 1 - first < _FEWEST_BARS:
        return False
    if AGREEING_TO_DIFFERING * _differing(notes, pairs) > len(pairs):
        return False
    return len({notes[at].sounding % 12 for at, _ in pairs}) >= _FEWEST_PITCHES


def bar_of_end(note: DueNote, bars: Bars) -> int:
    """Index of the bar in which a note ends."""
    return bars.bar_at(max(note.end - 1, note.time))


def _differing(notes: Sequence[DueNote], pairs: Sequence[Pair]) -> int:
    """At how many moments something else begins."""
    later = notes[pairs[0][1]].time - notes[pairs[0][0]].time
    differing = 0
    for (i, j), (next_i, next_j) in pairwise(pairs):
        if next_i - i > 1 or next_j - j > 1:
            first = {note.time + later for note in notes[i + 1 : next_i]}
            differing += len(first | {note.time for note in notes[j + 1 : next_j]})
    return differing


class _Distance(NamedTuple):
    """From a stretch to its return."""

    later: int
    semitones: float


def _alike(notes: Sequence[DueNote]) -> dict[_Distance, set[int]]:
    """Distance → notes at which a figure begins that comes back so much later and higher."""
    moves = [
        (other.time - one.time, other.sounding - one.sounding) for one, other in pairwise(notes)
    ]
    met: dict[Hashable, list[int]] = defaultdict(list)
    found: dict[_Distance, set[int]] = defaultdict(set)
    for at in range(len(moves) - _WINDOW + 2):
        earlier = met[tuple(moves[at : at + _WINDOW - 1])]
        for before in earlier[-_NEIGHBOURS:]:
            later = notes[at].time - notes[before].time
            found[_Distance(later, notes[at].sounding - notes[before].sounding)].add(before)
        earlier.append(at)
    return found


def _clusters(places: Sequence[int]) -> Iterator[tuple[int, int]]:
    """First and last of notes that lie close enough together to be of one stretch."""
    first = last = places[0]
    for at in places[1:]:
        if at - last > 2 * _BESIDE:
            yield first, last
            first = at
        last = at
    yield first, last


class _Line:
    """A line and the bars it stands in."""

    def __init__(self, notes: Sequence[DueNote], bars: Bars) -> None:
        self._notes = notes
        self._bars = bars
        self._places = {note.time: at for at, note in enumerate(notes)}

    def agreeing(self, places: Iterable[int], distance: _Distance) -> list[Pair]:
        """Notes that come back at a distance, and where."""
        return [
            (at, there)
            for at in places
            if (there := self._places.get(self._notes[at].time + distance.later)) is not None
            and self._notes[there].sounding == self._notes[at].sounding + distance.semitones
        ]

    def stretches(self, pairs: Sequence[Pair], distance: _Distance) -> Iterator[Sequence[Pair]]:
        """The stretches among notes that agree at a distance."""
        if len(pairs) < _FEWEST_NOTES:
            return
        notes = self._notes
        low, high = max(pairs[0][0] - 1, 0), max(pairs[0][1] - 1, 0)
        earlier = moved(notes[low : pairs[-1][0] + 2], distance.later, 0)
        later = notes[high : pairs[-1][1] + 2]
        own = [(i - low, j - high) for i, j in pairs]
        for chain in chains(earlier, later, own, self._bars):
            for stretch in stretches(chain, lambda *_: True):
                yield pairs[stretch[0].first : stretch[-1].last + 1]

    def one_after_the_other(
        self, pairs: Sequence[Pair], distance: _Distance
    ) -> Iterator[Repeat]:
        """A stretch and its return, or the turns of one that begins again before it is over."""
        turn = tuple((i, j) for i, j in pairs if i < pairs[0][1])
        places = range(turn[0][0], turn[-1][0] + 1)
        times = 1
        while is_a_statement(self._notes, turn, self._bars) and turn[-1][1] <= pairs[-1][1]:
            yield Repeat(turn, times * distance.semitones)
            times += 1
            further = _Distance(times * distance.later, times * distance.semitones)
            turn = tuple(self.agreeing(places, further))
