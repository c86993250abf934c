"""Notes of a voice as people name them, by their spelled pitch."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.sketch.model import Note
from rewriter.theory.pitch import name_of_midi, note_name

if TYPE_CHECKING:
    from rewriter.sketch.model import Frame, Sounding, Voice


class Describer:
    """Names notes of one voice; looks through it only when first asked."""

    def __init__(self, voice: Voice, frame: Frame) -> None:
        self._voice = voice
        self._frame = frame
        self._notes: list[Note] | None = None

    def onset(self, where: tuple[int, int]) -> int:
        """Where in its bar a note begins, given as (bar, place among its notes)."""
        bar, place = where
        notes = [i for i in self._voice.bars[bar].items if isinstance(i, Note)]
        return notes[place].onset if place < len(notes) else self._frame.bars[bar].length

    def name(self, sounding: Sounding, octave: int) -> str:
        """Spelled name of a note, which may be octaves from the voice's, moved by more."""
        if self._notes is None:
            self._notes = [
                item for bar in self._voice.bars for item in bar.items if isinstance(item, Note)
            ]
        note = self._notes[sounding.index]
        for each in (note, *note.chord):
            pitch = each.pitch
            if pitch and (sounding.midi - pitch.midi) % 12 == 0:
                moved = round((sounding.midi - pitch.midi) / 12) + octave
                return note_name(pitch.step, pitch.alter, pitch.octave + moved)
        return name_of_midi(sounding.midi + 12 * octave)
