"""Notes of a voice as people name them: printed bar, beat, spelled pitch."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.sketch.model import Note
from rewriter.sketch.voices import beat_at
from rewriter.theory.pitch import name_of_midi, note_name

if TYPE_CHECKING:
    from rewriter.sketch.model import Frame, Sounding, Voice


class Describer:
    """Names notes of one voice; looks through it only when first asked."""

    def __init__(self, voice: Voice, frame: Frame) -> None:
        self._voice = voice
        self._frame = frame
        self._notes: list[Note] | None = None

    def describe(self, sounding: Sounding) -> tuple[str, str, str]:
        """Printed bar, beat and name of a note whose `midi` is that of the line."""
        bar = self._frame.bars[sounding.bar]
        onset = sounding.start - self._voice.timeline.starts[sounding.bar]
        beat = beat_at(bar, onset, self._frame.divisions)
        return bar.number, beat, self.name(sounding, 0)

    def describe_place(self, where: tuple[int, int]) -> tuple[str, str]:
        """Printed bar and beat of a note, given as (bar, place among its notes)."""
        bar, place = where
        notes = [i for i in self._voice.bars[bar].items if isinstance(i, Note)]
        onset = notes[place].onset if place < len(notes) else self._frame.bars[bar].length
        framed = self._frame.bars[bar]
        return framed.number, beat_at(framed, onset, self._frame.divisions)

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
