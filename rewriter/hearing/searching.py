"""Where a tune is in a score: how much later, and how much higher, some line has it.

A score made from the sketch has it at the sketch's own time, perhaps in other keys. For a
score with more bars than the sketch, or with more statements than one, every four notes of a
line are looked up among those of the tune.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from math import ceil
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.hearing.agreeing import chains, stretches
from rewriter.hearing.doublings import FEWEST_NOTES_OF_A_LINE, is_a_line
from rewriter.hearing.tune_notes import moved

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Iterator, Sequence

    from rewriter.hearing.agreeing import Pair
    from rewriter.hearing.lines import Bars, HeardLine, HeardNote
    from rewriter.hearing.tune_notes import DueNote

_WINDOW: Final = 4
"""Notes looked up at once: of eight of which one differs, four in a row are right as a rule."""
_COMMONPLACE: Final = 16
"""A figure the tune has more often tells nothing about where one is."""
_FEWEST_NOTES: Final = 12
_FEWEST_PITCHES: Final = 5
"""Of what is taken for the tune at another time than the sketch's (as for statements)."""


class Placement(NamedTuple):
    """Where the tune is.

    Attributes:
        later: divisions behind the sketch's own time.
        semitones: above its own pitch, -5 to 6; octaves are told line by line.
    """

    later: int
    semitones: int


class Placed(NamedTuple):
    """A placement, and from when to when some line has the tune there.

    Attributes:
        placement: which.
        spans: divisions from the start of the piece, start and stop.
    """

    placement: Placement
    spans: tuple[tuple[int, int], ...]


def placed(tune: Sequence[DueNote], lines: Sequence[HeardLine], bars: Bars) -> list[Placed]:
    """Where lines of a score have a tune, the surest first.

    First as it stands, then at its own time in other keys, then elsewhere, by how many notes
    agree.

    Args:
        tune: its notes, at the sketch's own time.
        lines: of the score.
        bars: of the score.
    """
    spans: dict[Placement, list[tuple[int, int]]] = defaultdict(list)
    worth: dict[Placement, int] = defaultdict(int)
    search = _Search(tune, bars)
    for line in lines:
        for placement, notes in search.stretches(line.notes):
            spans[placement].append((notes[0].time, notes[-1].end))
            worth[placement] += len(notes)
    order = sorted(spans, key=lambda one: (one.later != 0, one != (0, 0), -worth[one], one))
    return [Placed(one, _merged(spans[one])) for one in order]


class _Search:
    """Looks for a tune in one line after the other."""

    def __init__(self, tune: Sequence[DueNote], bars: Bars) -> None:
        self._tune = tune
        self._bars = bars
        self._due: dict[int, list[DueNote]] = {}
        self._places = {note.time: at for at, note in enumerate(tune)}
        self._known: dict[Hashable, list[int]] = defaultdict(list)
        for figure, at in _figures(tune):
            self._known[figure].append(at)

    def stretches(
        self, notes: Sequence[HeardNote]
    ) -> Iterator[tuple[Placement, list[HeardNote]]]:
        """Notes of a line that are the tune's, placement by placement."""
        whole = len(self._tune)
        for placement, pairs in self._agreeing(notes).items():
            if len(pairs) < _fewest(placement, whole):
                continue
            later = placement.later
            if later not in self._due:
                self._due[later] = moved(self._tune, later, 0)
            for chain in chains(self._due[later], notes, pairs, self._bars):
                for stretch in stretches(chain, lambda *_: True):
                    chosen = pairs[stretch[0].first : stretch[-1].last + 1]
                    found = [notes[at] for _, at in chosen]
                    if _is_the_tune(found, placement, whole):
                        yield placement, found

    def _agreeing(self, notes: Sequence[HeardNote]) -> dict[Placement, list[Pair]]:
        """The notes of a line that agree with the tune's, by placement, in their order."""
        found: dict[Placement, dict[Pair, None]] = defaultdict(dict)
        for at, note in enumerate(notes):
            place = self._places.get(note.time)
            if place is not None:
                self._keep(found, (place, at), note)
        for figure, at in _figures(notes):
            places = self._known.get(figure, ())
            for place in places if len(places) <= _COMMONPLACE else ():
                for n in range(_WINDOW):
                    self._keep(found, (place + n, at + n), notes[at + n])
        return {one: sorted(pairs) for one, pairs in found.items()}

    def _keep(
        self, found: dict[Placement, dict[Pair, None]], pair: Pair, note: HeardNote
    ) -> None:
        due = self._tune[pair[0]]
        apart = note.sounding - due.sounding
        if apart % 1 == 0:
            found[Placement(note.time - due.time, _within_an_octave(apart))][pair] = None


def _merged(spans: Iterable[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    """Spans with those that overlap or meet made one.

    >>> _merged([(4, 8), (0, 2), (6, 12), (12, 13)])
    ((0, 2), (4, 13))
    """
    found: list[tuple[int, int]] = []
    for start, stop in sorted(spans):
        if found and start <= found[-1][1]:
            found[-1] = found[-1][0], max(stop, found[-1][1])
        else:
            found.append((start, stop))
    return tuple(found)


def _figures(notes: Sequence[DueNote] | Sequence[HeardNote]) -> Iterator[tuple[Hashable, int]]:
    """Every few notes in a row by how they move in time and pitch, and where they begin."""
    times = [note.time for note in notes]
    soundings = [note.sounding for note in notes]
    moves = [
        (time - before, sounding - last)
        for (before, time), (last, sounding) in zip(
            pairwise(times), pairwise(soundings), strict=True
        )
    ]
    for at in range(len(moves) - _WINDOW + 2):
        figure = tuple(moves[at : at + _WINDOW - 1])
        if any(semitones for _, semitones in figure):
            yield figure, at


def _within_an_octave(semitones: float) -> int:
    """From 5 below to 6 above.

    >>> [_within_an_octave(semitones) for semitones in (0, 7, -5, 6, 18, -12)]
    [0, -5, -5, 6, 6, 0]
    """
    above = int(semitones) % 12
    return above if above <= 6 else above - 12  # noqa: PLR2004 - a tritone up


def _fewest(placement: Placement, whole: int) -> int:
    """How many notes have to agree for it to be no chance.

    At the sketch's own time a line's worth; elsewhere as much as makes a statement, or nearly
    the whole tune.
    """
    if placement.later == 0:
        return FEWEST_NOTES_OF_A_LINE
    return min(_FEWEST_NOTES, max(FEWEST_NOTES_OF_A_LINE, ceil(whole * 7 / 8)))


def _is_the_tune(notes: Sequence[HeardNote], placement: Placement, whole: int) -> bool:
    soundings = [note.sounding for note in notes]
    if len(notes) < _fewest(placement, whole) or not is_a_line(soundings):
        return False
    nearly_all = 8 * len(notes) >= 7 * whole
    return placement.later == 0 or nearly_all or _pitches(soundings) >= _FEWEST_PITCHES


def _pitches(soundings: Iterable[float]) -> int:
    return len({sounding % 12 for sounding in soundings})
