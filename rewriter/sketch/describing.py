"""Notes of a voice as people name them, by their spelled pitch."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.sketch.listening import notes_in, where
from rewriter.theory.pitch import Pitch, name_of_midi, note_name

if TYPE_CHECKING:
    from rewriter.sketch.frame import Frame
    from rewriter.sketch.model import Note, Sounding, Voice


class Describer:
    """Names notes of one voice."""

    def __init__(self, voice: Voice, frame: Frame) -> None:
        self._voice = voice
        self._frame = frame
        self._notes: dict[int, list[Note]] = {}
        self._pitches: dict[tuple[int, float], Pitch | None] = {}

    def onset(self, where: tuple[int, int]) -> int:
        """Where in its bar a note begins, given as (bar, place among its notes)."""
        bar, place = where
        notes = self._notes_in(bar)
        return notes[place].onset if place < len(notes) else self._frame.bars[bar].length

    def _notes_in(self, bar: int) -> list[Note]:
        """The notes of a bar, looked for once."""
        known = self._notes.get(bar)
        if known is None:
            known = self._notes[bar] = notes_in(self._voice, bar)
        return known

    def name(self, sounding: Sounding, octave: int) -> str:
        """Spelled name of a note, which may be octaves from the voice's, moved by more."""
        pitch = self.pitch(sounding)
        if pitch is None:
            return name_of_midi(sounding.midi + 12 * octave)
        return note_name(pitch.step, pitch.alter, pitch.octave + octave)

    def pitch(self, sounding: Sounding) -> Pitch | None:
        """A note as it is spelled, at its own octave; None where nothing spells it."""
        key = sounding.index, sounding.midi
        if key not in self._pitches:
            self._pitches[key] = self._spelled(sounding)
        return self._pitches[key]

    def _spelled(self, sounding: Sounding) -> Pitch | None:
        bar, place = where(self._voice, sounding.index)
        note = self._notes_in(bar)[place]
        for each in (note, *note.chord):
            pitch = each.pitch
            if pitch and (sounding.midi - pitch.midi) % 12 == 0:
                moved = round((sounding.midi - pitch.midi) / 12)
                return Pitch(pitch.step, pitch.alter, pitch.octave + moved)
        return None
