"""Cue notes in the octave that the reader's clef can show."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.theory.fifths import Interval, transpose
from rewriter.theory.pitch import STEPS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rewriter.stands.cue_notes import CueNote
    from rewriter.stands.in_force import Stand
    from rewriter.theory.pitch import Pitch

_READABLE: Final = 9
"""Steps from the middle line to the space beyond the second leger line: small notes are read in
passing (common practice, no source)."""

_MOVES: Final = (0, 1, -1, 2, -2)
"""Octaves a line may be moved by, what is tried first in front."""

_OCTAVES: Final = range(10)
"""Of MusicXML's <octave>."""

_WORDS: Final = {
    1: "octave higher",
    2: "two octaves higher",
    -1: "octave lower",
    -2: "two octaves lower",
}


def octave_words(octaves: int) -> str:
    """How much higher a line sounds than it is written; nothing where it is not moved.

    >>> octave_words(-1), octave_words(0)
    (' (sounds octave lower)', '')
    """
    return f" (sounds {_WORDS[octaves]})" if octaves else ""


def moved_for(
    lines: Mapping[int, Sequence[CueNote]], source: Stand, stands: Mapping[int, Stand]
) -> tuple[int, dict[int, list[CueNote]]] | None:
    """The lines written for another part: its transposition, and an octave its clef can show.

    Args:
        lines: by bar, as they are written where they come from.
        source: what is in force there.
        stands: by bar, what is in force where they go.

    Returns:
        Octaves they were moved by beyond the transposition, two at most, and the lines; None
        where the reader's clef shows them in no octave.
    """
    to = stands[min(lines)]
    by = Interval(
        source.sounds.steps - to.sounds.steps, source.sounds.semitones - to.sounds.semitones
    )
    away = [
        (_steps(transpose(note.pitch, by)), stands[bar].middle)
        for bar, line in lines.items()
        for note in line
        if note.pitch is not None
    ]
    for octaves in _MOVES:
        moved = [(step + 7 * octaves, middle) for step, middle in away]
        if all(_is_readable(step, middle) for step, middle in moved):
            whole = Interval(by.steps + 7 * octaves, by.semitones + 12 * octaves)
            return octaves, {bar: _moved(line, whole) for bar, line in lines.items()}
    return None


def _moved(line: Sequence[CueNote], by: Interval) -> list[CueNote]:
    return [n._replace(pitch=transpose(n.pitch, by) if n.pitch else None) for n in line]


def _steps(pitch: Pitch) -> int:
    return STEPS.index(pitch.step) + 7 * pitch.octave


def _is_readable(step: int, middle: int | None) -> bool:
    return middle is not None and abs(step - middle) <= _READABLE and step // 7 in _OCTAVES
