"""The tune as a finished score has it: its notes one after the other, whoever carries them."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from rewriter.hearing.statements import statements_in
from rewriter.hearing.tune_notes import TuneNote

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.hearing.lines import Heard, HeardNote
    from rewriter.hearing.statements import Statement
    from rewriter.hearing.tune import HeardTune


def notes_sounding(heard: Heard, tune: HeardTune) -> list[TuneNote]:
    """The notes of a tune where lines carry them, at the tune's own octave, each once.

    Args:
        heard: the score.
        tune: where it is.
    """
    divisions = heard.reading.divisions
    by_time: dict[int, tuple[HeardNote, int]] = {}
    for note, octaves in _carried(heard, tune):
        by_time.setdefault(note.time, (note, octaves))
    return [
        TuneNote(
            Fraction(time, divisions),
            Fraction(note.end - time, divisions),
            note.sounding - 12 * octaves,
            note.fifths,
        )
        for time, (note, octaves) in sorted(by_time.items())
    ]


def _carried(heard: Heard, tune: HeardTune) -> Iterator[tuple[HeardNote, int]]:
    lines = {line.place: line for line in heard.lines}
    for carrying in tune.carrying.values():
        for one in carrying:
            notes = lines[one.line].notes
            for _, at in one.agreeing:
                yield notes[at], one.octaves


def statements_of(heard: Heard, tune: HeardTune) -> list[tuple[Statement, ...]]:
    """The statements of a tune in a score: of each theme of it that comes back, all.

    Args:
        heard: the score.
        tune: where it is.
    """
    divisions = heard.reading.divisions
    starts = [Fraction(start, divisions) for start in heard.bars.starts]
    return statements_in(notes_sounding(heard, tune), starts)
