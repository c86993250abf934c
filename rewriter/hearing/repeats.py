"""Stretches of a line that come back, also transposed: every pair of them that agrees."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.hearing.agreeing import AGREEING_TO_DIFFERING, chains, stretches
from rewriter.hearing.tune_notes import moved

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterator, Sequence

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
    places = {note.time: at for at, note in enumerate(notes)}
    found = []
    for distance, earlier in sorted(_alike(notes).items()):
        for first, last in _clusters(sorted(earlier)):
            near = range(max(first - _BESIDE, 0), min(last + _BESIDE + 1, len(notes)))
            pairs = [
                (at, there)
                for at in near
                if (there := places.get(notes[at].time + distance.later)) is not None
                and notes[there].sounding == notes[at].sounding + distance.semitones
            ]
            found += [
                Repeat(one, distance.semitones)
                for one in _stretches(notes, pairs, distance, bars)
            ]
    return found


def is_a_statement(notes: Sequence[DueNote], pairs: Sequence[Pair], bars: Bars) -> bool:
    """True where a stretch is long enough, and agrees enough, to be called a statement.

    A bar counts in which it begins after the middle as little as an upbeat does, one in which
    its last note begins as much as any.

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
    if bars.bar_at(notes[pairs[-1][0]].time) + 1 - first < _FEWEST_BARS:
        return False
    if AGREEING_TO_DIFFERING * _differing(notes, pairs) > len(pairs):
        return False
    return len({notes[at].sounding % 12 for at, _ in pairs}) >= _FEWEST_PITCHES


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


def _stretches(
    notes: Sequence[DueNote], pairs: Sequence[Pair], distance: _Distance, bars: Bars
) -> Iterator[tuple[Pair, ...]]:
    """The statements among notes that agree at a distance, each apart from its return."""
    if len(pairs) < _FEWEST_NOTES:
        return
    low, high = max(pairs[0][0] - 1, 0), max(pairs[0][1] - 1, 0)
    earlier = moved(notes[low : pairs[-1][0] + 2], distance.later, 0)
    later = notes[high : pairs[-1][1] + 2]
    own = [(i - low, j - high) for i, j in pairs]
    for chain in chains(earlier, later, own, bars):
        for stretch in stretches(chain, lambda *_: True):
            chosen = pairs[stretch[0].first : stretch[-1].last + 1]
            apart = tuple((i, j) for i, j in chosen if i < chosen[0][1])
            if is_a_statement(notes, apart, bars):
                yield apart
