"""The voices of a part: notes in absolute time, as written and as they sound."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.scores.in_force import PartInForce
from rewriter.theory.numbers import decimal, in_number_order, whole
from rewriter.theory.pitch import SEMITONES_OF_STEP, midi

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rewriter.scores.events import BarEvents, Event, WrittenPitch
    from rewriter.scores.notes import NoteForm
    from rewriter.scores.reading import Reading


class VoiceNote(NamedTuple):
    """A note or rest, where and when it stands.

    Attributes:
        time: divisions from the start of the piece.
        length: divisions; 0 for grace notes.
        sounding: MIDI number; None for rests and what has no pitch. Lines for octaves and
            clefs with an eight do not change it, since the file writes pitches as they are.
        bar: index.
        event: the note in its bar, from which one gets back to the bytes.
        form: what it says besides its pitch (grace, cue, chord, ties as written).
        goes_on: divisions from the start of the piece, where a note it is tied to begins: its
            end; of what ends a bar that its part does not fill, the next bar.
    """

    time: int
    length: int
    sounding: float | None
    bar: int
    event: Event
    form: NoteForm
    goes_on: int

    @property
    def pitch(self) -> WrittenPitch | None:
        """As the file writes it; None for rests and what has none."""
        return self.event.pitch

    @property
    def end(self) -> int:
        """Divisions from the start of the piece."""
        return self.time + self.length


class Chord(NamedTuple):
    """What a voice has at one moment: a note, the notes of a chord, or a rest.

    Attributes:
        notes: in document order, at least one; the first gives the length.
    """

    notes: tuple[VoiceNote, ...]


class Voice(NamedTuple):
    """A voice of a part.

    Attributes:
        staff: counted from the top, as text; where it wanders, the one it has most notes on.
        name: as the file calls it.
        chords: in the order of time, grace notes before what they lead to.
    """

    staff: str
    name: str
    chords: list[Chord]

    @property
    def notes(self) -> Iterator[VoiceNote]:
        """Its notes and rests one by one."""
        return (note for chord in self.chords for note in chord.notes)


class Joined(NamedTuple):
    """Notes tied to each other, heard as one.

    Attributes:
        notes: in the order of time.
    """

    notes: tuple[VoiceNote, ...]

    @property
    def time(self) -> int:
        """Divisions from the start of the piece."""
        return self.notes[0].time

    @property
    def length(self) -> int:
        """Divisions that its notes last."""
        return sum(note.length for note in self.notes)


def voices_of(reading: Reading, part: int) -> list[Voice]:
    """The voices of a part, by staff and name.

    Args:
        reading: of the score.
        part: index in score order.
    """
    bars = reading.bars(part)
    apart = _on_two_staves(bars)
    found: dict[tuple[str, str], list[list[VoiceNote]]] = {}
    group: list[VoiceNote] = []
    for note in _notes(reading, part):
        if note.form.chord and group and group[0].bar == note.bar:
            group.append(note)
            continue
        name = note.form.voice
        group = [note]
        found.setdefault((note.form.staff if name in apart else "", name), []).append(group)
    voices = [_voice(name, groups) for (_, name), groups in found.items()]
    return sorted(
        voices, key=lambda voice: (in_number_order(voice.staff), in_number_order(voice.name))
    )


def joined(voices: Iterable[Voice]) -> list[Joined]:
    """Notes that sound, those tied to each other as one, in the order of time.

    A tie goes to a note of the same sounding pitch that begins where the other ends and that
    ends a tie; to one of the same voice rather than of another. What finds none stays alone.
    Where a part does not fill its bar, what ends there is tied to what begins the next.

    Args:
        voices: of one part.
    """
    waiting: dict[tuple[float, int], list[tuple[int, list[VoiceNote]]]] = {}
    runs: list[list[VoiceNote]] = []
    numbered = [
        (number, note)
        for number, voice in enumerate(voices)
        for note in voice.notes
        if note.sounding is not None
    ]
    for number, note in sorted(numbered, key=lambda found: found[1].time):
        sounding = note.sounding
        if sounding is None:
            continue
        open_ones = waiting.get((sounding, note.time), []) if note.form.stops_tie else []
        place = next((i for i, (own, _) in enumerate(open_ones) if own == number), 0)
        run = open_ones.pop(place)[1] if open_ones else []
        if not run:
            runs.append(run)
        run.append(note)
        if note.form.starts_tie:
            waiting.setdefault((sounding, note.goes_on), []).append((number, run))
    return [Joined(tuple(run)) for run in sorted(runs, key=lambda run: run[0].time)]


def _notes(reading: Reading, part: int) -> Iterator[VoiceNote]:
    in_force = PartInForce(reading, part)
    known: dict[WrittenPitch, float | None] = {}
    for index, bar in enumerate(reading.bars(part)):
        start, following = reading.timeline.starts[index : index + 2]
        for event in bar.events:
            form = event.form
            if form is None:
                continue
            sounding = None
            if event.pitch is not None:
                if event.pitch not in known:
                    known[event.pitch] = _written_midi(event.pitch)
                sounding = known[event.pitch]
            time = start + event.onset
            if sounding is not None:
                sounding += in_force.transposition(time, form.staff).semitones
            closes = event.onset + event.length == bar.end
            goes_on = following if closes else time + event.length
            yield VoiceNote(time, event.length, sounding, index, event, form, goes_on)


def _written_midi(pitch: WrittenPitch) -> float | None:
    alter, octave = decimal(pitch.alter or "0"), whole(pitch.octave)
    if alter is None or octave is None or pitch.step not in SEMITONES_OF_STEP:
        return None  # a damaged pitch: the note is there, nobody knows how high
    return midi(pitch.step, float(alter), octave)


def _voice(name: str, groups: list[list[VoiceNote]]) -> Voice:
    staves = [note.form.staff for group in groups for note in group]
    chords = [Chord(tuple(group)) for group in groups]
    chords.sort(key=lambda chord: chord.notes[0].time)
    return Voice(max(dict.fromkeys(staves), key=staves.count), name, chords)


def _on_two_staves(bars: list[BarEvents]) -> set[str]:
    """Names that stand for two voices, one on each of two staves.

    A voice that wanders to the other staff and back is one voice; two that sound in the same
    bar with a ``<backup>`` between them are two.
    """
    apart: set[str] = set()
    for bar in bars:
        before: dict[str, set[str]] = {}
        now: dict[str, set[str]] = {}
        for event in bar.events:
            if event.tag == "backup":
                for name, staves in now.items():
                    before.setdefault(name, set()).update(staves)
                now = {}
            elif event.form is not None:
                name = event.form.voice
                now.setdefault(name, set()).add(event.form.staff)
                if name in before and not now[name] <= before[name]:
                    apart.add(name)
    return apart
