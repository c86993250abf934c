"""Ties and spanners of one voice: whatever has only one end in the voice is left out, and said.

A slur may be open because the sketch is damaged, or because its other end lies in a voice that
is not the tune. Either way it cannot be written: every line must close what it opens.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

import msgspec

from rewriter.musicxml.escaping import escaped
from rewriter.musicxml.note_shapes import ends_in_turn
from rewriter.sketch.faults import OpenEnd
from rewriter.sketch.model import Note, Sign

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.musicxml.note_shapes import Notation, NoteShape
    from rewriter.sketch.frame import FrameBar
    from rewriter.sketch.model import VoiceBar


_LATER = frozenset(("stop", "continue"))
"""Ends of a line that are not its beginning, which has the name of what it is."""

_EMPTY_WORDS = re.compile(
    rb"<direction-type><words[^>]*>[\s.,;()\[\]]*</words></direction-type>"
)


_NAMES = {
    "slur": "slur", "tuplet": "tuplet bracket", "glissando": "glissando", "slide": "slide",
    "wavy-line": "trill line", "tremolo": "tremolo", "tied": "tie", "wedge": "hairpin",
    "dashes": "dashed line", "bracket": "bracket", "other-notation": "line",
}  # fmt: skip


def close_all(bars: Sequence[VoiceBar], frame: Sequence[FrameBar]) -> list[OpenEnd]:
    """Leave out every single end of a tie, notation, hairpin or line; say which they were."""
    notes: list[tuple[int, Note]] = []
    for index, bar in enumerate(bars):
        notes += [(index, item) for item in bar.items if isinstance(item, Note)]
    ends = [*_close_ties(notes, bars, frame), *_close_notations(notes), *_close_lines(bars)]
    return sorted(ends, key=lambda end: (end.bar, end.onset))


def without_tie(shape: NoteShape, end: str) -> NoteShape:
    """The shape without one end of its tie (``start`` or ``stop``)."""
    kept = [n for n in shape.notations if n.tag != "tied" or n.type != end]
    return shape.derived(without={f"tie-{end}"}, notations=kept)


_Notes = Sequence[tuple[int, Note]]
"""Notes with the index of their bar."""


class _Tie(msgspec.Struct, frozen=True):
    note: Note
    bar: int
    onset: int


def _close_ties(
    notes: _Notes, bars: Sequence[VoiceBar], frame: Sequence[FrameBar]
) -> Iterator[OpenEnd]:
    pending: dict[float, _Tie] = {}
    for index, note in notes:
        shape = note.shape
        if not (pending or shape.starts_tie or shape.stops_tie or note.chord):
            continue
        if shape.kind == "forward":
            continue
        begun: dict[float, _Tie] = {}
        for each in (note, *note.chord):
            if each.pitch is None:
                continue
            midi = each.pitch.midi
            before = pending.pop(midi, None) if each.shape.stops_tie else None
            if before is not None and _respelled(before.note, each):
                each.shape = with_own_sign(each.shape, cautionary=False)
            alone = each.shape.stops_tie and before is None
            if alone and not _follows_first_ending(bars[index], frame[index], note):
                each.shape = without_tie(each.shape, "stop")
                yield OpenEnd("tie", begins=False, bar=index, onset=note.onset)
            if each.shape.starts_tie:
                begun[midi] = _Tie(each, index, note.onset)
        if not note.shape.grace:
            yield from _drop_ties(pending)
            pending = begun
        else:
            pending |= begun
    yield from _drop_ties(pending)


def _respelled(before: Note, note: Note) -> bool:
    return (before.pitch and before.pitch[:3]) != (note.pitch and note.pitch[:3])


def with_own_sign(shape: NoteShape, *, cautionary: bool) -> NoteShape:
    """A note that prints its accidental though no rule asks for it.

    Args:
        shape: of the note.
        cautionary: True for a courtesy; False where no tie tells how to read another spelling
            of the note before.
    """
    name, attributes = shape.printed or ("", b"")
    new = shape.derived()
    if b"cautionary=" not in attributes and not cautionary:
        attributes += b' cautionary="no"'
    new.printed = (name, attributes)
    return new


def _drop_ties(pending: dict[float, _Tie]) -> Iterator[OpenEnd]:
    for tie in pending.values():
        tie.note.shape = without_tie(tie.note.shape, "start")
        yield OpenEnd("tie", begins=True, bar=tie.bar, onset=tie.onset)


def _follows_first_ending(bar: VoiceBar, frame: FrameBar, note: Note) -> bool:
    """A tie into a second ending comes from before the first: it has no start just before."""
    first = next(item for item in bar.items if isinstance(item, Note))
    return first is note and b"<ending" in frame.left


def _spanning(notes: _Notes) -> Iterator[tuple[int, Note]]:
    """Notes, those of chords too, with a notation that goes from note to note."""
    for index, note in [one for one in notes if one[1].shape.spans or one[1].chord]:
        for each in (note, *note.chord):
            if each.shape.spans:
                yield index, each


class _Opened(msgspec.Struct, frozen=True):
    note: Note
    notation: Notation
    bar: int


def _close_notations(notes: _Notes) -> Iterator[OpenEnd]:
    opened: dict[tuple[str, str], _Opened] = {}
    for index, note in _spanning(notes):
        spans = note.shape.spans
        for notation in ends_in_turn(spans, opened) if len(spans) > 1 else spans:
            key = (notation.tag, notation.number)
            if notation.type == "start":
                if key in opened:
                    yield _left_out(opened[key])
                opened[key] = _Opened(note, notation, index)
            elif key not in opened:
                yield _left_out(_Opened(note, notation, index))
            elif notation.type == "stop":
                del opened[key]
    for left in opened.values():
        yield _left_out(left)


def _left_out(opened: _Opened) -> OpenEnd:
    note, notation = opened.note, opened.notation
    kept = [n for n in note.shape.notations if n is not notation]
    note.shape = note.shape.derived(notations=kept)
    begins = notation.type == "start"
    return OpenEnd(_NAMES.get(notation.tag, notation.tag), begins, opened.bar, note.onset)


def _close_lines(bars: Sequence[VoiceBar]) -> Iterator[OpenEnd]:
    """Hairpins, dashes and brackets: their ends are directions."""
    opened: dict[tuple[str, str], tuple[int, int, str]] = {}
    lost: list[tuple[int, int, str, str]] = []
    for index, bar in enumerate(bars):
        for place, item in enumerate(bar.items):
            if not isinstance(item, Sign) or item.scope != "line" or item.detail is None:
                continue
            for tag, ends, number, _ in item.detail.spans:
                key = (tag, number)
                if ends == "stop":
                    if opened.pop(key, None) is None:
                        lost.append((index, place, tag, ends))
                elif ends == "continue":
                    if key not in opened:
                        lost.append((index, place, tag, ends))
                else:
                    if key in opened:
                        lost.append(opened[key] + (ends,))
                    opened[key] = (index, place, tag)
    lost += [(*where, "start") for where in opened.values()]
    yield from _lines_left_out(bars, lost)


def _lines_left_out(
    bars: Sequence[VoiceBar], lost: list[tuple[int, int, str, str]]
) -> Iterator[OpenEnd]:
    for index, place, tag, ends in sorted(set(lost), reverse=True):
        sign = bars[index].items[place]
        yield OpenEnd(_NAMES[tag], ends not in {"stop", "continue"}, index, sign.onset)
        bars[index].items[place] = without_line(sign, tag, ends)  # type: ignore[arg-type]  # signs


def without_words(sign: Sign, words: str) -> Sign:
    """A direction without some of its words; without anything left, an empty sign."""
    detail = sign.detail
    if detail is None:
        return sign
    head = detail.head.replace(escaped(words), b"")
    head = _EMPTY_WORDS.sub(b"", head)
    if b"<direction-type" not in head:
        return sign._replace(piece=b"", detail=None)
    detail = detail._replace(head=head, string="")
    return sign._replace(detail=detail, piece=detail.at(0))


def without_line(sign: Sign, tag: str, ends: str) -> Sign:
    """A direction without one end of a line; without anything left, an empty sign."""
    detail = sign.detail
    if detail is None:
        return sign
    head = detail.head
    kept = []
    for span in detail.spans:
        same = span[1] == ends if ends in _LATER else span[1] not in _LATER
        if span[0] == tag and same and span[3] in head:
            head = head.replace(b"<direction-type>%b</direction-type>" % span[3], b"")
            head = head.replace(span[3], b"")
        else:
            kept.append(span)
    if b"<direction-type" not in head:
        return sign._replace(piece=b"", detail=detail._replace(spans=(), head=b"", tail=b""))
    detail = detail._replace(head=head, spans=tuple(kept))
    return sign._replace(detail=detail, piece=detail.at(0))
