"""What goes from note to note in a voice: slurs, hairpins and their like, with both ends."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from rewriter.musicxml.note_shapes import ends_in_turn
from rewriter.sketch.model import Note

if TYPE_CHECKING:
    from rewriter.sketch.listening import Where
    from rewriter.sketch.model import Sign, Voice


class Span(msgspec.Struct, frozen=True):
    """Something with two ends in one voice.

    Attributes:
        tag: MusicXML element name.
        number: its number.
        begin: the note it begins on, or before.
        end: the note it ends on, or before.
        begin_data: the beginning element as bytes.
        end_data: the ending element as bytes.
        family: of a notation, see ``musicxml.note_shapes``.
        line: True for hairpins, dashes and brackets, which are directions.
        signs: of a line, ``id`` of the signs it begins and ends in; others may stand there.
    """

    tag: str
    number: str
    begin: Where
    end: Where
    begin_data: bytes
    end_data: bytes
    family: str = ""
    line: bool = False
    signs: tuple[int, int] = (0, 0)


class _Opened(msgspec.Struct, frozen=True):
    """The beginning of a span that has not ended yet."""

    where: Where
    data: bytes
    family: str
    sign: int = 0


def spans_of(voice: Voice) -> list[Span]:
    """Every span of a voice but ties, in order of their ends; the voice is closed already."""
    spans: list[Span] = []
    opened: dict[tuple[str, str, bool], _Opened] = {}
    for index, bar in enumerate(voice.bars):
        place = 0
        for item in bar.items:
            if isinstance(item, Note):
                if item.shape.spans or item.chord:
                    _take_note(item, (index, place), opened, spans)
                place += 1
            elif item.detail is not None and item.scope == "line" and item.detail.spans:
                _take_sign(item, (index, place), opened, spans)
    return spans


def _take_note(
    item: Note,
    where: Where,
    opened: dict[tuple[str, str, bool], _Opened],
    spans: list[Span],
) -> None:
    for each in (item, *item.chord):
        is_open = {(tag, number) for tag, number, line in opened if not line}
        for sign in ends_in_turn(each.shape.notations, is_open):
            key = (sign.tag, sign.number, False)
            if sign.type == "start":
                opened[key] = _Opened(where, sign.data, sign.family)
            elif sign.type == "stop" and key in opened:
                begun = opened.pop(key)
                spans.append(
                    Span(*key[:2], begun.where, where, begun.data, sign.data, begun.family)
                )


def _take_sign(
    item: Sign,
    where: Where,
    opened: dict[tuple[str, str, bool], _Opened],
    spans: list[Span],
) -> None:
    """A direction stands before the note at its place, and ends with the one before."""
    if item.detail is None:
        return
    for tag, ends, number, data in item.detail.spans:
        key = (tag, number, True)
        if ends == "stop" and key in opened:
            begun = opened.pop(key)
            signs = (begun.sign, id(item))
            spans.append(
                Span(tag, number, begun.where, where, begun.data, data, line=True, signs=signs)
            )
        elif ends not in {"stop", "continue"}:
            opened[key] = _Opened(where, data, "", id(item))
