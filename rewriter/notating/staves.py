"""One staff of a section, bar by bar, as bytes.

A bar that a strand plays as the sketch has it is a template with its octaves settled. Every
other bar (begun or left in the middle, divided, cut, in several octaves) is put together note
by note. Both give the same bytes for the same music.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby, repeat
from operator import attrgetter
from typing import TYPE_CHECKING

from rewriter.musicxml.note_shapes import OctaveUnwritable, settle
from rewriter.notating.bar_signs import BarSigns, altered_differently
from rewriter.notating.divided import as_voice, numbered_apart, on_the_stem, stemmed_bars
from rewriter.notating.repairs import Written
from rewriter.notating.sides import Began, Passed, in_voices, on_one_stem, only_own, other_ends
from rewriter.notating.strand_bars import Strand, rests_held, voices_of
from rewriter.problems import Refused
from rewriter.sketch.model import Note, Sign
from rewriter.sketch.rests import bar_rest
from rewriter.sketch.voices import with_signs

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.notating.cuts import VoiceIndex
    from rewriter.notating.section_parts import SectionPart
    from rewriter.placing.strands import Play
    from rewriter.sketch.frame import Frame, FrameBar


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
        self._strands = [
            Strand(plays, frame, indexes, part.unsaid, ways, part.joined)
            for plays, ways in zip(part.strands, part.ways, strict=True)
        ]
        self._stemmed = stemmed_bars(part.strands)
        self._unseen: list[set[Began]] = [set() for _ in part.strands]
        self._ends = other_ends(voices_of(part.strands)) if len(part.strands) > 1 else {}

    def bars(self) -> list[WrittenBar]:
        """The content of each bar between its opening attributes and its right barline.

        Raises:
            Refused: a note would leave the octaves MusicXML can write.
        """
        bars = range(len(self._frame.bars))
        if len(self._strands) != 1:
            return [self._bar(bar) for bar in bars]
        (strand,) = self._strands
        template_of = attrgetter("top_template" if self._top else "template")
        anew = {*self._extra, *strand.mended_bars}
        written: list[WrittenBar] = []
        begin = 0
        for _, run in groupby(strand.plays, id):  # bars that are played alike are the same
            alike = list(run)
            stop, entries = begin + len(alike), alike[0]
            if len(entries) == 1 and entries[0].is_plain:  # as nearly all are
                (play,) = entries
                shift = play.octave + self._section.written_octave
                written += zip(map(template_of, play.voice.bars[begin:stop]), repeat(shift))
            else:
                anew.update(range(begin, stop))
                written += [(b"", None)] * len(alike)
            begin = stop
        for bar in sorted(anew & set(bars)):
            written[bar] = self._bar(bar)
        return written

    def _bar(self, bar: int) -> WrittenBar:
        try:
            return self._put_together(bar)
        except OctaveUnwritable:
            where = f"{self._section.key}, {self._frame.bar_text(bar)}"
            raise unwritable(where) from None

    def _put_together(self, bar: int) -> WrittenBar:
        strands = self._strands
        playing = [depth for depth, strand in enumerate(strands) if strand.sounds(bar)]
        extra = self._extra.get(bar, ())
        if not playing:
            return self._resting(bar, extra), None
        top = playing[0]
        if playing == [0] and strands[0].is_plain(bar):
            return self._template(strands[0].plays[bar][0], bar, extra)
        lines = [strands[depth].items(bar, beside=depth > top) for depth in playing]
        if len(lines) == 1:
            return self._alone(bar, lines[0], top, extra), None
        if bar in self._stemmed:
            return self._on_one_stem(bar, lines, playing, extra), None
        return self._in_voices(bar, lines, playing, extra), None

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
        if not (extra or frame.signs or frame.short or frame.pauses):
            return _written_rest(frame.length)
        rests = rests_held(0, frame.length, bar, self._frame)
        signs = sorted([*self._shared(frame), *extra], key=lambda sign: sign.onset)
        return b"".join(item.piece for item in with_signs(rests, signs))

    def _shared(self, frame: FrameBar) -> list[Sign]:
        return [sign for sign in frame.signs if self._top or sign.scope == "every"]

    def _with_extra(
        self, items: list[Written], bar: int, extra: Sequence[Sign]
    ) -> list[Written]:
        """Items with the signs every part has and those of this staff among them."""
        return _placed(items, [*extra, *self._shared(self._frame.bars[bar])])

    def _pieces(self, items: Sequence[Written], signs: BarSigns) -> Iterator[bytes]:
        for item, octave in items:
            if isinstance(item, Note):
                yield from self._note_pieces(item, octave, signs)
            else:
                yield item.piece

    def _note_pieces(self, note: Note, octave: int, signs: BarSigns) -> Iterator[bytes]:
        if isinstance(note, Passed):
            yield note.piece
            return
        shift = octave + self._section.written_octave
        for each in (note, *note.chord):
            copy = Note(each.onset, each.length, each.shape, each.pitch)
            copy.sign = signs.sign(each, octave, note.onset)
            yield settle(copy.piece, shift)

    def _alone(self, bar: int, line: list[Written], depth: int, extra: Sequence[Sign]) -> bytes:
        """The only line that plays in a bar, as voice 1."""
        own = only_own(self._with_extra(line, bar, extra), (), self._unseen[depth], self._ends)
        written = b"".join(self._pieces(own, BarSigns(self._frame.bars[bar])))
        return numbered_apart(written, depth, len(self._strands))

    def _in_voices(
        self,
        bar: int,
        lines: Sequence[list[Written]],
        depths: Sequence[int],
        extra: Sequence[Sign],
    ) -> bytes:
        """Lines one behind the other, each a voice."""
        framed = self._frame.bars[bar]
        doubtful = altered_differently(lines)
        unseen = [self._unseen[depth] for depth in depths]
        voices: list[bytes] = []
        for line, depth in zip(in_voices(lines, unseen, bar, self._ends), depths, strict=True):
            own = _placed(line, ()) if voices else self._with_extra(line, bar, extra)
            written = b"".join(self._pieces(own, BarSigns(framed, doubtful)))
            voices.append(as_voice(written, depth, len(self._strands)))
        back = b"<backup><duration>%d</duration></backup>\n" % framed.length
        return back.join(voices)

    def _on_one_stem(
        self,
        bar: int,
        lines: Sequence[list[Written]],
        depths: Sequence[int],
        extra: Sequence[Sign],
    ) -> bytes:
        """Lines on one stem; where the section divides within the bar, from there on."""
        plays = [play for depth in depths for play in self._strands[depth].plays[bar]]
        retold = any(bar in self._strands[depth].retold for depth in depths)
        # Else they have no signs of their own.
        alike = len({id(play.voice) for play in plays}) == 1 and not retold
        first = lines[0] if alike else on_one_stem(lines, bar, self._ends)
        others = [[w for w in line if _sounds(w)] for line in lines[1:]]
        signs = BarSigns(self._frame.bars[bar])
        pieces: list[bytes] = []
        for item, octave in self._with_extra(first, bar, extra):
            if not isinstance(item, Note):
                pieces.append(item.piece)
                continue
            pieces += self._note_pieces(item, octave, signs)
            for other in others:
                if item.pitch is not None and other and _begins_with(other[0].item, item):
                    note, below = other.pop(0)
                    for each in (note, *note.chord) if isinstance(note, Note) else ():
                        pieces += self._note_pieces(on_the_stem(each), below, signs)
        return b"".join(pieces)


def _sounds(one: Written) -> bool:
    return isinstance(one.item, Note) and one.item.pitch is not None


def _begins_with(below: Note | Sign, note: Note) -> bool:
    """True when a note of another line belongs on the stem of a note."""
    return (
        isinstance(below, Note)
        and (below.onset, below.length) == (note.onset, note.length)
        and below.shape.grace == note.shape.grace
    )


def _placed(items: Sequence[Written], more: Sequence[Sign]) -> list[Written]:
    """Items with their signs and more, each at its onset whatever is sounding there."""
    octaves = {id(w.item): w.octave for w in items if isinstance(w.item, Note)}
    notes = [w.item for w in items if isinstance(w.item, Note)]
    own = [w.item for w in items if isinstance(w.item, Sign)]
    signs = sorted([*more, *own], key=lambda sign: sign.onset)
    return [Written(item, octaves.get(id(item), 0)) for item in with_signs(notes, signs)]


@lru_cache(maxsize=64)
def _written_rest(length: int) -> bytes:
    return bar_rest(length).piece
