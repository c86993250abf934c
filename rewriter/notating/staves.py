"""One staff of a section, bar by bar, as bytes.

A bar that a strand plays as the sketch has it is a template with its octaves settled. Every
other bar (begun or left in the middle, divided, cut, in several octaves) is put together note
by note. Both give the same bytes for the same music.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.musicxml.accidentals import AccidentalState
from rewriter.musicxml.note_shapes import OctaveUnwritable, settle
from rewriter.notating.cuts import Repairs, VoiceIndex, index_voice, repair
from rewriter.notating.mending import (
    Written,
    belongs,
    closed_beams,
    mended_note,
    own_sign,
    with_dynamics,
)
from rewriter.placing.strands import runs_of
from rewriter.problems import Refused
from rewriter.sketch.model import Note, Sign
from rewriter.sketch.rests import bar_rest, rests_between
from rewriter.sketch.voices import with_signs

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.musicxml.note_shapes import NoteShape
    from rewriter.placing.strands import Play, Strand
    from rewriter.rulefiles.ensembles import Section
    from rewriter.sketch.model import Frame, FrameBar


class StaffWriter:
    """Writes the bars of one section."""

    def __init__(
        self,
        section: Section,
        frame: Frame,
        strands: Sequence[Strand],
        *,
        top: bool,
        extra: dict[int, list[Sign]],
        indexes: dict[int, VoiceIndex],
    ) -> None:
        """Prepare a section.

        Args:
            section: whose staff it is.
            frame: of the score.
            strands: what its lines play; several where it is divided.
            top: True for the part that has the signs of the whole score.
            extra: by bar, clefs, 8va lines and words at their onsets.
            indexes: of voices, by ``id``; filled as needed, shared by all sections.
        """
        self._section = section
        self._frame = frame
        self._strands = strands
        self._top = top
        self._extra = extra
        self._indexes = indexes
        self._repairs = [self._repaired(strand) for strand in strands]

    def bars(self) -> Iterator[bytes]:
        """The content of each bar between its opening attributes and its right barline."""
        for bar in range(len(self._frame.bars)):
            try:
                yield self._bar(bar)
            except OctaveUnwritable:
                raise Refused(
                    "a note would leave the octaves MusicXML can write (0 to 9)",
                    "place the stack elsewhere",
                    place=f"{self._section.key}, bar {self._frame.bars[bar].number}",
                ) from None

    def _repaired(self, strand: Strand) -> Repairs:
        plays = strand.plays
        voice = plays[0].voice if plays and plays[0] else None
        whole = voice is not None and all(
            play is not None and play.voice is voice and play.octaves is None for play in plays
        )
        runs = [] if whole else runs_of(plays)
        for run in runs:
            if id(run.voice) not in self._indexes:
                self._indexes[id(run.voice)] = index_voice(run.voice)
        return repair(runs, self._indexes, whole=whole)

    def _bar(self, bar: int) -> bytes:
        playing = [
            (strand, repairs)
            for strand, repairs in zip(self._strands, self._repairs, strict=True)
            if (play := strand.plays[bar]) is not None and not play.silent
        ]
        extra = self._extra.get(bar, [])
        if not playing:
            return self._resting(bar, extra)
        if len(playing) == 1:
            strand, repairs = playing[0]
            play = strand.plays[bar]
            if play is not None and self._is_plain(bar, strand, play, repairs):
                return self._template(play, bar, extra)
            items = self._items(bar, strand, repairs)
            return self._voice(bar, self._with_extra(items, bar, extra))
        first, second = (self._items(bar, strand, repairs) for strand, repairs in playing[:2])
        return self._divided(bar, self._with_extra(first, bar, extra), second)

    def _is_plain(self, bar: int, strand: Strand, play: Play, repairs: Repairs) -> bool:
        return play.octaves is None and bar not in repairs.bars and not strand.dynamics.get(bar)

    def _template(self, play: Play, bar: int, extra: Sequence[Sign]) -> bytes:
        """The bar as the sketch has it, with extra signs put in at their onsets."""
        source = play.voice.bars[bar]
        shift = play.octave + self._section.written_octave
        if not extra:
            return settle(source.top_template if self._top else source.template, shift)
        pieces: list[bytes] = []
        waiting = sorted(extra, key=lambda sign: sign.onset)
        for item in source.items:
            while waiting and waiting[0].onset <= item.onset and isinstance(item, Note):
                pieces.append(waiting.pop(0).piece)
            if isinstance(item, Note) or self._top or item.scope != "score":
                pieces.append(item.piece)
        pieces += [sign.piece for sign in waiting]
        return settle(b"".join(pieces), shift)

    def _resting(self, bar: int, extra: Sequence[Sign]) -> bytes:
        frame = self._frame.bars[bar]
        signs = sorted([*self._shared(frame), *extra], key=lambda sign: sign.onset)
        return b"".join(item.piece for item in with_signs([_written_rest(frame.length)], signs))

    def _shared(self, frame: FrameBar) -> list[Sign]:
        return [sign for sign in frame.signs if self._top or sign.scope == "every"]

    def _with_extra(
        self, items: list[Written], bar: int, extra: Sequence[Sign]
    ) -> list[Written]:
        """Items with the signs every part has and those of this staff among them."""
        octaves = {id(w.item): w.octave for w in items if isinstance(w.item, Note)}
        notes = [w.item for w in items if isinstance(w.item, Note)]
        own = [w.item for w in items if isinstance(w.item, Sign)]
        signs = sorted(
            [*extra, *self._shared(self._frame.bars[bar]), *own], key=lambda sign: sign.onset
        )
        return [Written(item, octaves.get(id(item), 0)) for item in with_signs(notes, signs)]

    def _items(self, bar: int, strand: Strand, repairs: Repairs) -> list[Written]:
        """Notes and own signs of one strand in a bar: played, silenced, mended."""
        play = strand.plays[bar]
        assert play is not None  # noqa: S101 - only bars that are played come here
        items = play.voice.bars[bar].items
        written: list[Written] = []
        place = end = 0
        for item in items:
            if isinstance(item, Note):
                octave = play.octave if play.octaves is None else play.octaves[place]
                if octave is not None:
                    written += self._gap(end, item.onset, bar)
                    written += mended_note(item, (bar, place), octave, repairs)
                    end = item.onset + item.length
                place += 1
            elif item.scope == "line" and belongs(play, place, item):
                written.append(Written(own_sign(item, (bar, place), repairs), 0))
        written += self._gap(end, self._frame.bars[bar].length, bar)
        return with_dynamics(closed_beams(written), strand.dynamics.get(bar, ""))

    def _gap(self, start: int, stop: int, bar: int) -> list[Written]:
        if start >= stop:
            return []
        rests = rests_between(start, stop, self._frame.bars[bar], self._frame.divisions)
        return [Written(rest, 0) for rest in rests]

    def _voice(self, bar: int, items: list[Written]) -> bytes:
        state = AccidentalState()
        state.change_key(self._frame.bars[bar].alterations)
        return b"".join(self._pieces(items, state))

    def _pieces(self, items: Sequence[Written], state: AccidentalState) -> Iterator[bytes]:
        for item, octave in items:
            if not isinstance(item, Note):
                if item.alterations is not None:
                    state.change_key(item.alterations)
                yield item.piece
                continue
            yield from self._note_pieces(item, octave, state)

    def _note_pieces(self, note: Note, octave: int, state: AccidentalState) -> Iterator[bytes]:
        shift = octave + self._section.written_octave
        for each in (note, *note.chord):
            copy = Note(each.onset, each.length, each.shape, each.pitch)
            pitch = each.pitch
            if pitch is not None:
                copy.sign = state.sign(
                    pitch.step,
                    pitch.alter,
                    pitch.octave + octave,
                    each.shape.printed,
                    tied=each.shape.stops_tie,
                )
            copy.write()
            yield settle(copy.piece, shift)

    def _divided(self, bar: int, upper: list[Written], lower: list[Written]) -> bytes:
        """Two lines at once: one stem where they move together, else two voices."""
        state = AccidentalState()
        state.change_key(self._frame.bars[bar].alterations)
        below = [w for w in lower if isinstance(w.item, Note)]
        above = [w for w in upper if isinstance(w.item, Note)]
        if [_rhythm(w) for w in above] == [_rhythm(w) for w in below]:
            return b"".join(self._on_one_stem(upper, below, state))
        length = self._frame.bars[bar].length
        first = b"".join(self._pieces(upper, state))
        own = [w for w in lower if isinstance(w.item, Note) or not _stands_in(w, upper)]
        second = b"".join(self._pieces(own, state))
        second = second.replace(b"<voice>1</voice>", b"<voice>2</voice>")
        return first + b"<backup><duration>%d</duration></backup>\n" % length + second

    def _on_one_stem(
        self, upper: Sequence[Written], lower: Sequence[Written], state: AccidentalState
    ) -> Iterator[bytes]:
        rest = iter(lower)
        for item, octave in upper:
            if not isinstance(item, Note):
                yield item.piece
                continue
            under = next(rest)
            yield from self._note_pieces(item, octave, state)
            if item.pitch is None or not isinstance(under.item, Note):
                continue
            for each in (under.item, *under.item.chord):
                stemmed = Note(each.onset, each.length, _on_the_stem(each), each.pitch)
                yield from self._note_pieces(stemmed, under.octave, state)


def _written_rest(length: int) -> Note:
    rest = bar_rest(length)
    rest.write()
    return rest


def _rhythm(written: Written) -> tuple[object, ...]:
    note = written.item
    if not isinstance(note, Note):
        return ()
    return (note.onset, note.length, note.shape.grace, note.pitch is None)


def _on_the_stem(note: Note) -> NoteShape:
    """A note on another's stem: its ties stay, what the other says is not said twice."""
    kept = [n for n in note.shape.notations if n.tag in {"tied", "accidental-mark"}]
    return note.shape.derived(without={"lyric", "beam"}, notations=kept, chord=True)


def _stands_in(written: Written, upper: Sequence[Written]) -> bool:
    item = written.item
    return any(
        isinstance(other.item, Sign)
        and isinstance(item, Sign)
        and (other.item.onset, other.item.piece) == (item.onset, item.piece)
        for other in upper
    )
