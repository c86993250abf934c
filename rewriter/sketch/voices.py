"""From the notes of a part to a voice that can be written: full bars, chords settled, closed.

Every bar is filled exactly: what the sketch leaves empty in the voice becomes rests. Then each
note gets its accidental and its finished bytes, and what sounds is listed for placing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

import msgspec

from rewriter.musicxml.accidentals import AccidentalState
from rewriter.sketch.beaming import Open, beamed_over, rebeamed
from rewriter.sketch.chords import settled_chord
from rewriter.sketch.faults import Overlap
from rewriter.sketch.model import Note, Sign, Sounding, Voice, VoiceBar
from rewriter.sketch.open_ends import close_all
from rewriter.sketch.pauses import held
from rewriter.sketch.rests import by_metre, rests_between
from rewriter.sketch.silence import move_to_entries
from rewriter.sketch.strengths import strengths_of
from rewriter.theory.metre import beat_of
from rewriter.theory.time import Timeline

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rewriter.musicxml.note_shapes import NoteShape
    from rewriter.sketch.chords import SettledChord
    from rewriter.sketch.faults import Fault
    from rewriter.sketch.frame import FrameBar
    from rewriter.sketch.requests import RawBar

Settle = Callable[[Sequence[Note]], Note]
"""Makes one note out of the members of a chord."""


class BuiltVoice(msgspec.Struct, frozen=True):
    """A voice, and what was settled and mended while it was built.

    Attributes:
        voice: the voice.
        faults: what had to be mended.
        chords: every chord that was settled.
    """

    voice: Voice
    faults: list[Fault]
    chords: list[SettledChord]


def build_voice(
    name: str,
    raw_bars: Sequence[RawBar],
    divisions: int,
    settle: Settle,
    *,
    of_strings: bool = False,
    has_techniques: bool = False,
) -> BuiltVoice:
    """Fill, settle, close and write the bars of a voice.

    Args:
        name: for people.
        raw_bars: frames with their final lengths.
        divisions: per quarter.
        settle: what to do with chords.
        of_strings: see :class:`Voice`.
        has_techniques: likewise.
    """
    builder = _Builder(divisions, settle)
    bars = [VoiceBar(builder.filled(raw)) for raw in raw_bars]
    frame = [raw.frame for raw in raw_bars]
    _beam_anew(bars, builder.thinned)
    faults: list[Fault] = [*builder.overlaps, *close_all(bars, frame)]
    faults += move_to_entries(bars, [at for at, raw in enumerate(raw_bars) if raw.loud])
    timeline = Timeline(bar.length for bar in frame)
    listener, firsts, saying = _write(bars, frame, timeline)
    soundings = listener.soundings
    strengths = strengths_of(bars, saying, timeline)
    voice = Voice(
        name,
        bars,
        soundings,
        timeline,
        firsts,
        of_strings,
        builder.chordal,
        strengths,
        has_techniques,
    )
    return BuiltVoice(voice, faults, builder.chords)


def _beam_anew(bars: Sequence[VoiceBar], thinned: set[int]) -> None:
    """Close the beams of bars that lost notes; those over barlines are the next bars' too."""
    near = {at for bar in thinned for at in (bar - 1, bar, bar + 1)}
    for at in sorted(near & set(range(len(bars)))):
        before, here, after = (
            [item for bar in bars[max(0, place) : place + 1] for item in bar.items
             if isinstance(item, Note)]
            for place in (at - 1, at, at + 1)
        )  # fmt: skip
        ends = Open(beamed_over(before, here), beamed_over(here, after))
        bars[at].items = rebeamed(bars[at].items, ends)


def beat_at(bar: FrameBar, onset: int, divisions: int) -> Fraction:
    """The beat of an onset; an upbeat bar counts as the end of a full one."""
    return beat_of(Fraction(bar.lacking + onset, divisions), bar.metre)


def _is_one_rest(items: Sequence[Note | Sign]) -> bool:
    """True where a rest is all there is; programs do not all say that it is the whole bar's."""
    notes = [item for item in items if isinstance(item, Note)]
    return len(notes) == 1 and notes[0].pitch is None


class _Builder:
    """Settles chords and fills bars, one after the other, and notes what it does."""

    def __init__(self, divisions: int, settle: Settle) -> None:
        self._divisions = divisions
        self._settle = settle
        self._bar = -1
        self.chords: list[SettledChord] = []
        self.chordal = False
        self.overlaps: list[Overlap] = []
        self.thinned: set[int] = set()

    def filled(self, raw: RawBar) -> list[Note | Sign]:
        """The items of the next bar, in order, without a gap."""
        self._bar += 1
        items, gone = raw.items, raw.silenced
        if not raw.sorted:
            items = sorted(items, key=lambda item: (item.onset, isinstance(item, Note)))
        if raw.chords and any(isinstance(i, Note) and i.shape.chord for i in items):
            items = self._settled(items)
        if not raw.sorted or raw.end != raw.frame.length:
            before = len(self.overlaps)
            items = self._tiled(items, raw.frame)
            gone = gone or len(self.overlaps) > before
        if raw.silenced or (raw.rests and (raw.frame.metre.compound or _is_one_rest(items))):
            items = by_metre(items, raw.frame, self._divisions)
        if raw.frame.pauses:
            items = held(items, raw.frame, self._divisions)
        if gone:
            self.thinned.add(self._bar)
        return items

    def _settled(self, items: list[Note | Sign]) -> list[Note | Sign]:
        """Chords made one note each."""
        settled: list[Note | Sign | list[Note]] = []
        chord: list[Note] = []
        for item in items:
            if not isinstance(item, Note):
                settled.append(item)
            elif item.shape.chord and chord:
                chord.append(item)
            else:
                chord = [item]
                settled.append(chord)
        return [self._one(item) if isinstance(item, list) else item for item in settled]

    def _one(self, chord: list[Note]) -> Note:
        if chord[0].shape.chord:
            chord[0].shape = chord[0].shape.derived(chord=False)
        if len(chord) == 1 or any(note.pitch is None for note in chord):
            return chord[0]
        shapes = [note.shape for note in chord]
        settled = self._settle(chord)
        self.chords.append(settled_chord(self._bar, shapes, settled))
        self.chordal = self.chordal or bool(settled.chord)
        return settled

    def _tiled(self, items: list[Note | Sign], frame: FrameBar) -> list[Note | Sign]:
        """The items with every gap filled by rests and every sign at its place."""
        notes: list[Note] = []
        end = 0
        for item in _without_idle_rests(items):
            if item.onset < end and not item.shape.grace:
                self.overlaps.append(Overlap(self._bar, item.onset))
                continue
            item.onset = max(item.onset, end)
            notes += rests_between(end, item.onset, frame, self._divisions)
            notes.append(item)
            end = item.onset + item.length
        notes += rests_between(end, frame.length, frame, self._divisions)
        return with_signs(notes, [item for item in items if isinstance(item, Sign)])


def _without_idle_rests(items: Sequence[Note | Sign]) -> list[Note]:
    """The notes, and the rests that no note sounds in: a second voice rests under the first.

    A rest that says more than silence, such as one with a fermata, stays.
    """
    notes = [item for item in items if isinstance(item, Note)]
    kept: list[Note] = []
    for item in notes:
        if kept and item.onset < kept[-1].onset + kept[-1].length and not item.shape.grace:
            if _is_idle(item):
                continue
            while kept and _is_idle(kept[-1]) and item.onset < kept[-1].onset + kept[-1].length:
                kept.pop()
        kept.append(item)
    return kept


def _is_idle(note: Note) -> bool:
    return note.pitch is None and not note.shape.notations


def with_signs(notes: Sequence[Note], signs: Sequence[Sign]) -> list[Note | Sign]:
    """Notes that fill a bar, with signs at their onsets among them.

    A direction that falls inside a note stands before it, with an offset to its place. What
    has no offset (attributes, barlines) is written behind the note, and a ``<backup>`` and a
    ``<forward>`` take it to its place.
    """
    out: list[Note | Sign] = []
    place = end = 0
    for sign in signs:
        while place < len(notes) and (
            notes[place].onset < sign.onset
            and notes[place].onset + notes[place].length <= sign.onset
        ):
            out.append(notes[place])
            end = notes[place].onset + notes[place].length
            place += 1
        if sign.detail is None and place < len(notes) and notes[place].onset < sign.onset:
            out.append(notes[place])
            end = notes[place].onset + notes[place].length
            place += 1
        start = notes[place].onset if place < len(notes) else end
        out.append(moved(sign, start))
    return [*out, *notes[place:]]


def moved(sign: Sign, stands: int) -> Sign:
    """A sign that stands at another onset and still means its own."""
    distance = sign.onset - stands
    if distance == 0:
        return sign
    if sign.detail is not None:
        detail = sign.detail._replace(offset=sign.detail.offset + distance)
        return sign._replace(onset=stands, detail=detail, piece=detail.at(0))
    back = b"<duration>%d</duration>" % abs(distance)
    before, after = b"<backup>%b</backup>\n" % back, b"<forward>%b</forward>\n" % back
    if distance > 0:
        before, after = (b"<forward>%b</forward>\n" % back, b"<backup>%b</backup>\n" % back)
    return sign._replace(onset=stands, piece=before + sign.piece + after)


def _write(
    bars: Sequence[VoiceBar], frame: Sequence[FrameBar], timeline: Timeline
) -> tuple[Listener, list[int], list[int]]:
    """Write accidentals, pieces, templates.

    Returns:
        Who listened, the notes before each bar, and which bars may have dynamics or hairpins.
    """
    saying: dict[int, None] = {}
    listener = Listener()
    firsts: list[int] = []
    state = AccidentalState()
    sign = state.sign
    in_force = None
    for index, bar in enumerate(bars):
        firsts.append(listener.count)
        alterations = frame[index].alterations
        if alterations is in_force:
            state.start_bar()
        else:
            state.change_key(alterations)
        in_force = alterations
        for item in bar.items:
            if isinstance(item, Note):
                shape, pitch = item.shape, item.pitch
                if shape.dynamic:
                    saying[index] = None
                if pitch is not None:
                    step, alter, octave, _, _ = pitch
                    item.sign = sign(step, alter, octave, shape.printed, tied=shape.stops_tie)
                    for each in item.chord:
                        _give_sign(each, state)
            elif item.detail is not None:
                saying[index] = None
            elif item.alterations is not None:
                in_force = item.alterations
                state.change_key(in_force)
        listener.listen(index, timeline.starts[index], bar.items)
        bar.write()
    firsts.append(listener.count)
    return listener, firsts, list(saying)


def _give_sign(note: Note, state: AccidentalState) -> None:
    shape, pitch = note.shape, note.pitch
    if pitch is not None:
        step, alter, octave, _, _ = pitch
        note.sign = state.sign(step, alter, octave, shape.printed, tied=shape.stops_tie)


_sounding: Callable[..., Sounding] = tuple.__new__  # half the time of calling Sounding


def _has_slur(shape: NoteShape) -> bool:
    return any(notation.tag == "slur" for notation in shape.notations)


class Listener:
    """Lists what sounds: tied runs as one, slurred groups numbered."""

    def __init__(self) -> None:
        self.soundings: list[Sounding] = []
        self.count = 0
        self._tied: dict[float, int] = {}
        self._depth = 0
        self._groups = 0

    def listen(self, bar: int, begin: int, items: Iterable[Note | Sign]) -> None:
        """Take in what sounds of a bar.

        Args:
            bar: index.
            begin: divisions from the start of the piece to it.
            items: of it, in order; its notes are counted in `count`, rests too.
        """
        soundings, count = self.soundings, self.count
        for item in items:
            if not isinstance(item, Note):
                continue
            pitch = item.pitch
            if pitch is not None:
                shape = item.shape
                if shape.spans:
                    group = self._group_at(shape)
                else:
                    group = self._groups - 1 if self._depth else -1
                start = begin + item.onset
                if item.chord or shape.starts_tie or shape.stops_tie:
                    first = Sounding(bar, start, item.length, pitch.midi, group, count)
                    for each in (item, *item.chord):
                        self._hear_tied(each, first)
                else:
                    said = (bar, start, item.length, pitch.midi, group, count)
                    soundings.append(_sounding(Sounding, said))
            count += 1
        self.count = count

    def _group_at(self, shape: NoteShape) -> int:
        """The slurred group of a note that spans; -1 where it is in none."""
        before = self._depth
        self._depth = max(0, before + shape.slurs)
        slurred = before or self._depth or _has_slur(shape)
        if slurred and not before:
            self._groups += 1
        return self._groups - 1 if slurred else -1

    def _hear_tied(self, note: Note, sounding: Sounding) -> None:
        """Take in a note that may be tied, or stands in a chord with the first to sound."""
        shape, pitch = note.shape, note.pitch
        if pitch is None:
            return
        midi, at = pitch.midi, None
        if shape.stops_tie:
            at = self._tied.pop(midi, None)
        if at is None:
            at = len(self.soundings)
            self.soundings.append(sounding._replace(midi=midi))
        else:
            known = self.soundings[at]
            self.soundings[at] = known._replace(length=known.length + sounding.length)
        if shape.starts_tie:
            self._tied[midi] = at
