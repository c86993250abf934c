"""What the tool itself wrote and nobody touched, cut at its tags: nothing of it is parsed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import msgspec
from lxml import etree

from rewriter.musicxml.parsing import parse_score
from rewriter.musicxml.saving import is_untouched
from rewriter.problems import Refused

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

_BAR_END: Final = b"</measure>"
_PART: Final = b"<part "


class Cut(msgspec.Struct, frozen=True):
    """A score cut at its tags: all above its parts, and of each its id and its bars."""

    header: Element
    parts: list[tuple[str, list[bytes]]]


def cut_own(data: bytes) -> Cut | None:
    """The tool's own output, bars with the line breaks it wrote; None for all else.

    Args:
        data: unzipped.
    """
    if not is_untouched(data):
        return None
    if data.count(b"<!") != 1 or data.count(_BAR_END) != data.count(b"<measure "):
        return None  # more than the document type: comments and the like
    if b" xmlns:" in data:
        return None  # declared on the root, where no bar can be cut out with it
    head, *pieces = data.split(_PART)
    try:
        header = parse_score(head + b"</score-partwise>")
        parts = [_cut_part(piece) for piece in pieces]
    except (Refused, etree.XMLSyntaxError):
        return None
    if not parts or not all(bars for _, bars in parts):
        return None
    return Cut(header, parts)


def _cut_part(piece: bytes) -> tuple[str, list[bytes]]:
    opening, _, music = piece.partition(b">")
    *bars, _ = music.split(_BAR_END)
    number = str(etree.fromstring(_PART + opening + b"/>").get("id"))
    return number, [bar.lstrip() + _BAR_END for bar in bars]
