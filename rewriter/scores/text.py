"""A score as text, and where each of its bars stands in it.

Places are counted in the UTF-8 text of the score. Of a file in UTF-8 that is the file, byte for
byte; of a file in another encoding, the same characters in UTF-8 (``editing.splicing`` writes
changes in the file's own encoding); of a tree handed in, what lxml writes of it. In a score
sorted by bars (time-wise) the place of a bar is that of the ``<part>`` inside its
``<measure>``. A file whose bars cannot be found in it (they come out of entities, say) has no
text of its own: then it is what the reader made, sorted by parts, and `rebuilt` says so.
"""

from __future__ import annotations

import codecs
import re
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

if TYPE_CHECKING:
    from collections.abc import Iterator

_DECLARED: Final = re.compile(rb"""<\?xml[^>]*?encoding\s*=\s*["']([A-Za-z0-9._-]+)["']""")
_BOMS: Final = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_TAGS: Final = re.compile(
    rb"<!--.*?-->|<!\[CDATA\[.*?\]\]>|<\?.*?\?>|<!DOCTYPE[^\[>]*(?:\[.*?\]\s*)?>"
    rb"|<(/?)(part|measure)(?=[\s/>])((?:[^>\"']|\"[^\"]*\"|'[^']*')*)>",
    re.DOTALL,
)


class ScoreText(NamedTuple):
    """A score as text.

    Attributes:
        data: UTF-8; places count in it.
        encoding: of the file, by its name in Python; ``ascii`` where no more than that is sure
            to be understood in it.
        mark: byte order mark that begins the file; empty where it has none, or is in UTF-8.
        rebuilt: True where it is not the file's text but the reader's.
    """

    data: bytes
    encoding: str = "utf-8"
    mark: bytes = b""
    rebuilt: bool = False


def text_of(data: bytes) -> ScoreText:
    """The text of a file's bytes.

    Args:
        data: of an XML file that could be parsed.
    """
    mark, encoding = next(((b, name) for b, name in _BOMS if data.startswith(b)), (b"", ""))
    if not encoding:
        encoding = _encoding_without_mark(data)
    if encoding in {"utf-8", "ascii"}:
        return ScoreText(data, encoding)
    try:
        return ScoreText(data[len(mark) :].decode(encoding).encode(), encoding, mark)
    except (UnicodeDecodeError, LookupError):  # it declares what it is not; lxml coped
        return ScoreText(data, "ascii")


def _encoding_without_mark(data: bytes) -> str:
    if data[:2] == b"<\0":
        return "utf-16-le"
    if data[:2] == b"\0<":
        return "utf-16-be"
    declared = _DECLARED.search(data[:200])
    try:
        name = codecs.lookup(declared[1].decode()).name if declared else "utf-8"
    except LookupError:
        name = "utf-8"
    # UTF-16 declared of single bytes: what is there counts.
    return "utf-8" if name.startswith("utf-16") else name


class Span(NamedTuple):
    """From where to where an element stands in a text, in bytes."""

    start: int
    stop: int


def bar_spans(data: bytes) -> dict[str, list[Span | None]]:
    """Where each bar stands, by the id of its part; None for a bar its part is left out of.

    Args:
        data: UTF-8, sorted by parts or by bars.
    """
    found: dict[str, list[Span | None]] = {}
    bars = 0
    outer = b""
    part = ""
    for tag, opening, span in _elements(data):
        if not outer:
            outer = tag
        if tag == outer == b"part":
            part = _id(opening)
            found.setdefault(part, [])
        elif tag == outer:
            bars += 1
        elif outer == b"part":
            found[part].append(span)
        else:
            own = found.setdefault(_id(opening), [])
            own += [None] * (bars - 1 - len(own)) + [span]
    return {part: [*own, *[None] * (bars - len(own))] for part, own in found.items()}


def _elements(data: bytes) -> Iterator[tuple[bytes, bytes, Span]]:
    """The parts and bars of a text: outer ones without their end, inner ones whole."""
    depth = 0
    start, opening = 0, b""
    for match in _TAGS.finditer(data):
        closing, tag, rest = match.groups()
        if tag is None:
            continue
        if closing:
            depth -= 1
            if depth == 1:
                yield tag, opening, Span(start, match.end())
            continue
        empty = rest.endswith(b"/")
        if depth == 0:
            yield tag, match[0], Span(match.start(), match.end())
            depth = 0 if empty else 1
        elif depth == 1 and empty:
            yield tag, match[0], Span(match.start(), match.end())
        else:
            start, opening = match.start(), match[0]
            depth += 1


def _id(opening: bytes) -> str:
    closed = opening if opening.endswith(b"/>") else opening[:-1] + b"/>"
    try:
        return str(etree.fromstring(closed, etree.XMLParser(recover=True)).get("id", ""))
    except (etree.XMLSyntaxError, AttributeError):
        return ""
