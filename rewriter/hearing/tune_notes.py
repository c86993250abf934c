"""A tune as notes in quarters: out of a sketch, or out of a line of a finished score."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.hearing.lines import HeardLine


class TuneNote(NamedTuple):
    """A note of a tune; tied notes are one, grace notes none.

    Attributes:
        onset: quarters from the start of the piece.
        length: quarters.
        sounding: MIDI number.
        fifths: its name, as it sounds, on the line of fifths (C 0, G 1, F -1); None where
            nobody knows.
    """

    onset: Fraction
    length: Fraction
    sounding: float
    fifths: float | None = None


class DueNote(NamedTuple):
    """A note of a tune where it is due in a score.

    Attributes:
        time: divisions of the score from the start of the piece.
        end: likewise.
        sounding: MIDI number.
    """

    time: int
    end: int
    sounding: float


def notes_of_line(line: HeardLine, divisions: int) -> list[TuneNote]:
    """The notes of a line as those of a tune.

    Args:
        line: of a score.
        divisions: of a quarter, which the score is counted in.
    """
    return [
        TuneNote(
            Fraction(note.time, divisions),
            Fraction(note.end - note.time, divisions),
            note.sounding,
            note.fifths,
        )
        for note in line.notes
    ]


def due_in(notes: Iterable[TuneNote], divisions: int) -> list[DueNote]:
    """Notes of a tune in the time of a score; without those it cannot have, being too coarse.

    Args:
        notes: in the order of time.
        divisions: of a quarter, which the score is counted in.
    """
    due: list[DueNote] = []
    for note in notes:
        time = note.onset * divisions
        if time.denominator == 1 and not (due and due[-1].time == time):
            end = time + note.length * divisions
            due.append(DueNote(int(time), int(end), note.sounding))
    return due


def moved(notes: Iterable[DueNote], later: int, semitones: int) -> list[DueNote]:
    """Notes so much later and higher.

    Args:
        notes: of a tune.
        later: divisions.
        semitones: upward positive.
    """
    return [
        DueNote(note.time + later, note.end + later, note.sounding + semitones)
        for note in notes
    ]


def from_to(notes: Sequence[DueNote], spans: Iterable[tuple[int, int]]) -> list[DueNote]:
    """The notes that begin within one of some spans, start counted and stop not."""
    inside = list(spans)
    return [note for note in notes if any(start <= note.time < stop for start, stop in inside)]
