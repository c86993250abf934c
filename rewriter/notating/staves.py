"""One staff of a section, bar by bar, as bytes.

A bar that a strand plays as the sketch has it is a template with its octaves settled. Every
other bar (begun or left in the middle, divided, cut, in several octaves) is put together note
by note. Both give the same bytes for the same music.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from rewriter.musicxml.note_shapes import OctaveUnwritable, settle
from rewriter.notating.bar_signs import BarSigns, altered_differently
from rewriter.notating.cuts import Repairs, VoiceIndex, index_voice, repair
from rewriter.notating.divided import (
    as_voice,
    numbered_apart,
    on_the_stem,
    only_own,
    stemmed_bars,
    with_signs_of_others,
)
from rewriter.notating.repairs import (
    Written,
    belongs,
    closed_beams,
    mended_note,
    own_sign,
    said_before,
    with_dynamics,
    without_rests_by_gaps,
)
from rewriter.placing.strands import is_whole, runs_of
from rewriter.problems import Refused
from rewriter.sketch.beaming import Open
from rewriter.sketch.model import Note, Sign
from rewriter.sketch.pauses import held
from rewriter.sketch.rests import bar_rest, rests_between
from rewriter.sketch.voices import with_signs

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.notating.section_parts import SectionPart
    from rewriter.placing.strands import Play, Plays
    from rewriter.sketch.model import Frame, FrameBar


class _Strand(NamedTuple):
    """A strand with its repairs, and the bars these are in."""

    plays: Plays
    repairs: Repairs
    mended_bars: set[int]


WrittenBar = tuple[bytes, int | None]
"""A bar, and how many octaves its octave bytes still have to be moved by, if it has any."""


def unwritable(place: str) -> Refused:
    """A note leaves the octaves MusicXML has."""
    return Refused(
        "a note would leave the octaves MusicXML can write (0 to 9)",
        "place the stack elsewhere",
        place=place,
    )


class StaffWriter:
    """Writes the bars of one section."""

    def __init__(
        self,
        part: SectionPart,
        frame: Frame,
        *,
        top: bool,
        extra: dict[int, list[Sign]],
        indexes: dict[int, VoiceIndex],
    ) -> None:
        """Prepare a section.

        Args:
            part: the section and what its lines play; several where it is divided.
            frame: of the score.
            top: True for the part that has the signs of the whole score.
            extra: by bar, clefs, 8va lines and words at their onsets.
            indexes: of voices, by ``id``; filled as needed, shared by all sections.
        """
        self._section = part.section
        self._frame = frame
        self._top = top
        self._extra = extra
        self._indexes = indexes
        self._strands: list[_Strand] = []
        for plays in part.strands:
            repairs = self._repaired(plays)
            repairs.unsaid = part.unsaid
            self._strands.append(_Strand(plays, repairs, repairs.bars()))
        self._stemmed = stemmed_bars(part.strands)
        self._unseen: list[set[tuple[str, str]]] = [set() for _ in part.strands]

    def bars(self) -> list[WrittenBar]:
        """The content of each bar between its opening attributes and its right barline.

        Raises:
            Refused: a note would leave the octaves MusicXML can write.
        """
        bars = range(len(self._frame.bars))
        if len(self._strands) != 1:
            return [self._bar(bar) for bar in bars]
        plays, _, mended_bars = self._strands[0]
        changed = {*self._extra, *mended_bars}
        top, up = self._top, self._section.written_octave
        written: list[WrittenBar] = []
        for bar, entries in enumerate(plays):  # nearly every bar is one of the sketch's
            if len(entries) == 1 and bar not in changed and entries[0].is_plain:
                play = entries[0]
                source = play.voice.bars[bar]
                template = source.top_template if top else source.template
                written.append((template, play.octave + up))
            else:
                written.append(self._bar(bar))
        return written

    def _repaired(self, plays: Plays) -> Repairs:
        if is_whole(plays):
            return Repairs()
        for voice in {id(play.voice): play.voice for bar in plays for play in bar}.values():
            if id(voice) not in self._indexes:
                self._indexes[id(voice)] = index_voice(voice)
        runs = runs_of(plays, lambda voice, bar: len(self._indexes[id(voice)].notes[bar]))
        return repair(runs, self._indexes)

    def _bar(self, bar: int) -> WrittenBar:
        try:
            return self._put_together(bar)
        except OctaveUnwritable:
            number = self._frame.bars[bar].number
            raise unwritable(f"{self._section.key}, bar {number}") from None

    def _put_together(self, bar: int) -> WrittenBar:
        playing = [
            (depth, strand)
            for depth, strand in enumerate(self._strands)
            if strand.plays[bar] and not all(play.silent for play in strand.plays[bar])
        ]
        extra = self._extra.get(bar, ())
        if not playing:
            return self._resting(bar, extra), None
        depth, strand = playing[0]
        plays = strand.plays[bar]
        if len(playing) == 1 and depth == 0 and len(plays) == 1 and self._is_plain(bar, strand):
            return self._template(plays[0], bar, extra)
        lines = [self._items(bar, strand) for _, strand in playing]
        if bar in self._stemmed and len(lines) > 1:
            lines[0] = self._with_extra(
                with_signs_of_others(lines, [s.plays[bar] for _, s in playing]), bar, extra
            )
            signs = BarSigns(self._frame.bars[bar])
            return b"".join(self._on_one_stem(lines, signs)), None
        lines[0] = self._with_extra(lines[0], bar, extra)
        depths = [depth for depth, _ in playing]
        return self._in_voices(bar, lines, depths), None

    def _is_plain(self, bar: int, strand: _Strand) -> bool:
        return strand.plays[bar][0].is_plain and bar not in strand.mended_bars

    def _template(self, play: Play, bar: int, extra: Sequence[Sign]) -> WrittenBar:
        """The bar as the sketch has it, with extra signs put in at their onsets."""
        source = play.voice.bars[bar]
        shift = play.octave + self._section.written_octave
        if not extra:
            return source.top_template if self._top else source.template, shift
        pieces: list[bytes] = []
        waiting = sorted(extra, key=lambda sign: sign.onset)
        for item in source.items:
            while waiting and waiting[0].onset <= item.onset and isinstance(item, Note):
                pieces.append(waiting.pop(0).piece)
            if isinstance(item, Note) or self._top or item.scope != "score":
                pieces.append(item.piece)
        pieces += [sign.piece for sign in waiting]
        return b"".join(pieces), shift

    def _resting(self, bar: int, extra: Sequence[Sign]) -> bytes:
        frame = self._frame.bars[bar]
        if not (extra or frame.signs or frame.lacking or frame.pauses):
            return _written_rest(frame.length).piece
        rests = self._rests(0, frame.length, bar)
        for rest in rests:
            rest.write()
        signs = sorted([*self._shared(frame), *extra], key=lambda sign: sign.onset)
        return b"".join(item.piece for item in with_signs(rests, signs))

    def _shared(self, frame: FrameBar) -> list[Sign]:
        return [sign for sign in frame.signs if self._top or sign.scope == "every"]

    def _with_extra(
        self, items: list[Written], bar: int, extra: Sequence[Sign]
    ) -> list[Written]:
        """Items with the signs every part has and those of this staff among them."""
        return _placed(items, [*extra, *self._shared(self._frame.bars[bar])])

    def _items(self, bar: int, strand: _Strand) -> list[Written]:
        """Notes and own signs of one strand in a bar: played, silenced, mended."""
        plays = strand.plays[bar]
        blocks = [block for play in plays for block in self._blocks(bar, play, strand.repairs)]
        if len(plays) > 1:
            blocks.sort(key=_in_order)
        written = [one for block in blocks for one in block]
        if len(plays) > 1 or plays[0].octaves is not None:
            written = self._filled(written, bar)
        elif bar not in strand.repairs.beams_cut:
            return written  # all of the bar's notes are there, and so are its beams
        over = {at - bar for voice, at in strand.repairs.beams if voice in map(_voice, plays)}
        return closed_beams(written, Open(before=0 in over, after=1 in over))

    def _blocks(self, bar: int, play: Play, repairs: Repairs) -> Iterator[list[Written]]:
        """What is played, note by note, each with the signs that stand with it."""
        block: list[Written] = []
        has_note = False
        place = 0
        for item in play.voice.bars[bar].items:
            where = (id(play.voice), bar, place)
            octave = play.octave_at(place)
            told: list[Written] = []
            if isinstance(item, Note):
                place += 1
                if octave is None:
                    continue
                told = said_before(item, where, repairs)
                more = mended_note(item, where, octave, repairs)
            elif item.scope == "line" and belongs(play, place, item):
                more = [Written(own_sign(item, where, repairs, play), 0)]
            else:
                continue
            if has_note and octave is not None:
                yield with_dynamics(block, play.change)
                block, has_note = [], False
            block = [*told, *block, *more] if told else [*block, *more]
            has_note = has_note or isinstance(item, Note)
        yield with_dynamics(block, play.change)

    def _filled(self, written: Sequence[Written], bar: int) -> list[Written]:
        """The bar with rests wherever nothing is played."""
        filled: list[Written] = []
        end = 0
        for one in without_rests_by_gaps(written, self._frame.bars[bar].length):
            if isinstance(one.item, Note):
                filled += self._gap(end, one.item.onset, bar)
                end = max(end, one.item.onset + one.item.length)
            filled.append(one)
        return filled + self._gap(end, self._frame.bars[bar].length, bar)

    def _gap(self, start: int, stop: int, bar: int) -> list[Written]:
        if start >= stop:
            return []
        return [Written(rest, 0) for rest in self._rests(start, stop, bar)]

    def _rests(self, start: int, stop: int, bar: int) -> list[Note]:
        """Rests for a stretch of a bar, with the fermatas that fall into it."""
        frame, divisions = self._frame.bars[bar], self._frame.divisions
        rests = held(rests_between(start, stop, frame, divisions), frame, divisions)
        return [rest for rest in rests if isinstance(rest, Note)]

    def _pieces(self, items: Sequence[Written], signs: BarSigns) -> Iterator[bytes]:
        for item, octave in items:
            if isinstance(item, Note):
                yield from self._note_pieces(item, octave, signs)
            else:
                yield item.piece

    def _note_pieces(self, note: Note, octave: int, signs: BarSigns) -> Iterator[bytes]:
        shift = octave + self._section.written_octave
        for each in (note, *note.chord):
            copy = Note(each.onset, each.length, each.shape, each.pitch)
            copy.sign = signs.sign(each, octave, note.onset)
            copy.write()
            yield settle(copy.piece, shift)

    def _in_voices(
        self,
        bar: int,
        lines: Sequence[list[Written]],
        depths: Sequence[int],
    ) -> bytes:
        """Lines one behind the other, each a voice; a single one is voice 1."""
        framed = self._frame.bars[bar]
        if len(lines) == 1:
            own = only_own(lines[0], [], self._unseen[depths[0]])
            written = b"".join(self._pieces(own, BarSigns(framed)))
            return numbered_apart(written, depths[0], len(self._strands))
        back = b"<backup><duration>%d</duration></backup>\n" % framed.length
        doubtful = altered_differently(lines)
        voices: list[bytes] = []
        said: list[Written] = []
        for line, depth in zip(lines, depths, strict=True):
            own = only_own(line, said, self._unseen[depth])
            if said:  # the first has all its signs in their places
                own = _placed(own, ())
            said += line
            signs = BarSigns(framed, doubtful)
            written = b"".join(self._pieces(own, signs))
            voices.append(as_voice(written, depth, len(self._strands)))
        return back.join(voices)

    def _on_one_stem(self, lines: Sequence[list[Written]], signs: BarSigns) -> Iterator[bytes]:
        others = [iter([w for w in line if isinstance(w.item, Note)]) for line in lines[1:]]
        for item, octave in lines[0]:
            if not isinstance(item, Note):
                yield item.piece
                continue
            under = [next(other) for other in others]
            yield from self._note_pieces(item, octave, signs)
            if item.pitch is None:
                continue
            for note, below in under:
                for each in (note, *note.chord) if isinstance(note, Note) else ():
                    yield from self._note_pieces(on_the_stem(each), below, signs)


def _voice(play: Play) -> int:
    return id(play.voice)


def _placed(items: Sequence[Written], more: Sequence[Sign]) -> list[Written]:
    """Items with their signs and more, each at its onset whatever is sounding there."""
    octaves = {id(w.item): w.octave for w in items if isinstance(w.item, Note)}
    notes = [w.item for w in items if isinstance(w.item, Note)]
    own = [w.item for w in items if isinstance(w.item, Sign)]
    signs = sorted([*more, *own], key=lambda sign: sign.onset)
    return [Written(item, octaves.get(id(item), 0)) for item in with_signs(notes, signs)]


def _in_order(block: Sequence[Written]) -> tuple[int, bool]:
    """By onset, grace notes before what they lead to."""
    notes = [one.item for one in block if isinstance(one.item, Note)]
    if notes:
        return notes[0].onset, notes[0].length > 0
    return (block[0].item.onset if block else 0), False


@lru_cache(maxsize=64)
def _written_rest(length: int) -> Note:
    rest = bar_rest(length)
    rest.write()
    return rest
