"""Written pitches made sounding, each with its bytes; in all scores they are the same."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.escaping import word
from rewriter.musicxml.note_shapes import OCTAVE_BYTES
from rewriter.problems import Refused
from rewriter.sketch.model import SketchPitch
from rewriter.theory.fifths import transpose
from rewriter.theory.numbers import decimal
from rewriter.theory.pitch import SEMITONES_OF_STEP, Pitch, midi

if TYPE_CHECKING:
    from rewriter.scores.events import WrittenPitch
    from rewriter.theory.fifths import Interval

_HIGHEST_ALTER: Final = 4


@lru_cache(maxsize=1024)
def sounding_pitch(written: WrittenPitch, interval: Interval) -> SketchPitch:
    """A written pitch made sounding.

    Args:
        written: as the file has it.
        interval: what makes its part sound, and what it is moved by.

    Raises:
        Refused: there is no such pitch, or none that can be written.
    """
    step, alter, octave = written
    if step not in SEMITONES_OF_STEP or not (octave.isdecimal() and len(octave) == 1):
        raise Refused(
            f'a note "{step}" in octave "{octave}" cannot be',
            "correct the note and export the sketch again",
        )
    raised = decimal(alter or "0")
    if raised is None or abs(raised) > _HIGHEST_ALTER:
        said = alter or "0"
        raise Refused(f'an alteration of "{said}" semitones cannot be', "correct the note")
    whole = raised.denominator == 1
    pitch = Pitch(step, int(raised) if whole else float(raised), int(octave))
    if interval != (0, 0):
        pitch = transpose(pitch, interval)
    if not 0 <= pitch.octave < len(OCTAVE_BYTES):
        raise Refused(f"{pitch} lies beyond the octaves MusicXML can write", "correct the note")
    raised_by = b"<alter>%b</alter>" % word(f"{pitch.alter:g}") if pitch.alter else b""
    data = b"<pitch><step>%b</step>%b<octave>%b</octave></pitch>" % (
        word(pitch.step), raised_by, OCTAVE_BYTES[pitch.octave],
    )  # fmt: skip
    return SketchPitch(*pitch, midi(*pitch), data)
