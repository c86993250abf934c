"""The statements of a sketch's tune: what of it comes back, and what is different then."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import msgspec

from rewriter.hearing.statements import statements_in
from rewriter.hearing.tune_notes import TuneNote
from rewriter.theory.fifths import position, transpose
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.hearing.statements import DifferingNote, Statement
    from rewriter.placing.lines import Stretch
    from rewriter.sketch.describing import Describer
    from rewriter.sketch.model import Sounding


class Departure(msgspec.Struct, frozen=True):
    """A moment at which a later statement is not as the first.

    Attributes:
        time: divisions from the start of the piece.
        has: name of its note; empty where it has none.
        first_has: name of the note the first would have here, moved as this one is; empty
            where it has none.
    """

    time: int
    has: str
    first_has: str


class Returning(msgspec.Struct, frozen=True):
    """One statement of a tune.

    Attributes:
        number: counted over all statements of the cue, by time.
        of: number of the statement it returns; its own for a first one.
        notes: in order.
        semitones: above that one.
        interval: the same between letters, as ``up P4``; empty for none, or where the file
            spells no notes.
        lacks_before: notes that the first has before what comes back.
        lacks_behind: notes that it has behind.
        departures: what else is different, in the order of time.
    """

    number: int
    of: int
    notes: Sequence[Sounding]
    semitones: float
    interval: str
    lacks_before: int
    lacks_behind: int
    departures: tuple[Departure, ...]


def statements_of_tune(stretch: Stretch, namer: Describer) -> list[Returning]:
    """Every statement of all that comes back in a tune, by time; empty where nothing does.

    Args:
        stretch: of the tune.
        namer: of its notes.
    """
    return _Line(stretch, namer).statements()


class _Line:
    """A tune as it is heard: one note at a time, without grace notes.

    Times are divisions, as if these were quarters: statements do not ask how long a quarter is.
    """

    def __init__(self, stretch: Stretch, namer: Describer) -> None:
        self._namer = namer
        self._starts = stretch.voice.timeline.starts
        by_time = {note.start: note for note in reversed(stretch.soundings) if note.length}
        self._notes = [by_time[time] for time in sorted(by_time)]

    def statements(self) -> list[Returning]:
        """By time."""
        heard = [self._heard(note) for note in self._notes]
        starts = list(map(Fraction, self._starts))
        tunes = statements_in(heard, starts)
        pairs = [(one, statements[0]) for statements in tunes for one in statements]
        pairs.sort(key=lambda pair: pair[0].start)
        numbers = {one.start: number for number, (one, _) in enumerate(pairs, 1)}
        return [self._returning(one, first, numbers) for one, first in pairs]

    def _heard(self, note: Sounding) -> TuneNote:
        pitch = self._namer.pitch(note)
        onset, length = Fraction(note.start), Fraction(note.length)
        fifths = None if pitch is None or pitch.alter % 1 else position(pitch)
        return TuneNote(onset, length, note.midi, fifths)

    def _returning(
        self, one: Statement, first: Statement, numbers: dict[Fraction, int]
    ) -> Returning:
        begin, end = one.notes
        return Returning(
            number=numbers[one.start],
            of=numbers[first.start],
            notes=self._notes[begin : end + 1],
            semitones=one.semitones,
            interval=one.interval.text if one.interval else "",
            lacks_before=one.agreeing[0][0] - first.notes[0],
            lacks_behind=first.notes[1] - one.agreeing[-1][0],
            departures=tuple(self._departures(one)),
        )

    def _departures(self, one: Statement) -> Iterator[Departure]:
        for differing in one.differing:
            own = differing.own
            has = "" if own is None else self._namer.name(self._notes[own], 0)
            time = int(differing.onset)
            yield Departure(time, has, self._first_has(one, differing))

    def _first_has(self, one: Statement, differing: DifferingNote) -> str:
        if differing.first is None:
            return ""
        note = self._notes[differing.first]
        pitch = self._namer.pitch(note)
        if pitch is None or one.interval is None:
            return name_of_midi(note.midi + one.semitones)
        return str(transpose(pitch, one.interval))
