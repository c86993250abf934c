"""The voices of a sketch at a glance: how many notes each has, and from where to where."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.scores.in_force import PartInForce
from rewriter.scores.voices import voices_of
from rewriter.theory.fifths import transpose
from rewriter.theory.pitch import Pitch, name_of_midi

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from rewriter.scores.reading import Reading
    from rewriter.scores.score import Part
    from rewriter.scores.voices import Voice, VoiceNote

_MOST_ALTERED: Final = 3
"""Semitones by which a letter can be raised or lowered in print."""


class End(NamedTuple):
    """The lowest or highest note of a voice.

    Attributes:
        name: of the sounding note, spelled as the sketch spells it.
        midi: sounding.
        bars: printed numbers of the bars that have it, in order.
    """

    name: str
    midi: float
    bars: list[str]


class VoiceSeen(NamedTuple):
    """A voice that sounds.

    Attributes:
        part: it is in.
        staff: it has most of its notes on, counted from the top, as text.
        voice: its name in the file.
        alone: True where nothing else sounds in its part.
        notes: heads with stems, those of chords and grace notes counted.
        lowest: of its notes, by sound.
        highest: likewise.
    """

    part: Part
    staff: str
    voice: str
    alone: bool
    notes: int
    lowest: End
    highest: End

    @property
    def choice(self) -> str:
        """It as ``--tune`` takes it: ``P1``, ``P2 staff 1 voice 2``."""
        if self.alone:
            return self.part.id if self.staff == "1" else f"{self.part.id} staff {self.staff}"
        return f"{self.part.id} staff {self.staff} voice {self.voice}"


def voices_seen(reading: Reading, numbers: Sequence[str]) -> list[VoiceSeen]:
    """Every voice that sounds, in the order of parts, staves and voices.

    Cue notes and what has no pitch are nobody's line.

    Args:
        reading: of the whole sketch.
        numbers: printed over its bars.
    """
    found: list[VoiceSeen] = []
    for index, part in enumerate(reading.score.parts):
        pairs = [(voice, _sounding(voice)) for voice in voices_of(reading, index)]
        heard = [(voice, notes) for voice, notes in pairs if notes]
        in_force = PartInForce(reading, index)
        for voice, notes in heard:
            lowest, highest = (_end(numbers, notes, pick, in_force) for pick in (min, max))
            found.append(
                VoiceSeen(
                    part, voice.staff, voice.name, len(heard) == 1, len(notes), lowest, highest
                )
            )
    return found


def _sounding(voice: Voice) -> list[tuple[float, VoiceNote]]:
    """Its notes, each with its sounding MIDI number."""
    return [
        (note.sounding, note)
        for note in voice.notes
        if note.sounding is not None and not note.form.cue
    ]


def _end(
    numbers: Sequence[str],
    notes: Iterable[tuple[float, VoiceNote]],
    pick: Callable[[Iterable[float]], float],
    in_force: PartInForce,
) -> End:
    midi = pick(sounding for sounding, _ in notes)
    those = [note for sounding, note in notes if sounding == midi]
    bars = dict.fromkeys(numbers[note.bar] for note in those if note.bar < len(numbers))
    whole = int(midi) if midi == int(midi) else midi
    return End(_name(those[0], midi, in_force), whole, list(bars))


def _name(note: VoiceNote, midi: float, in_force: PartInForce) -> str:
    """The spelled name of what sounds; the commonest where the file spells nothing."""
    written = note.pitch
    if written is None or abs(float(written.alter or 0)) > _MOST_ALTERED:
        return name_of_midi(midi)
    pitch = Pitch(written.step, float(written.alter or 0), int(written.octave))
    moved = transpose(pitch, in_force.transposition(note.time, note.form.staff).interval)
    return str(moved) if moved.midi == midi else name_of_midi(midi)
