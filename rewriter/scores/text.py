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
    from collections.abc import Sequence

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


class Outer(NamedTuple):
    """A part of a score, or a bar of one that is sorted by bars.

    Attributes:
        tag: ``part`` or ``measure``.
        opening: its start tag.
        span: all of it.
        inside: from the end of its start tag to the start of its end tag; nothing where it is
            written as one tag.
        inner: start tag and place of each of its bars, or parts.
    """

    tag: bytes
    opening: bytes
    span: Span
    inside: Span
    inner: list[tuple[bytes, Span]]


def outline(data: bytes) -> list[Outer]:
    """What a text is made of behind its header: parts and their bars, or the other way round.

    Args:
        data: UTF-8, sorted by parts or by bars.
    """
    found: list[Outer] = []
    depth = 0
    start, opening = 0, b""
    for match in _TAGS.finditer(data):
        closing, tag, rest = match.groups()
        if tag is None:
            continue
        if closing:
            depth -= 1
            if depth == 1:
                found[-1].inner.append((opening, Span(start, match.end())))
            elif depth == 0:
                found[-1] = _closed(found[-1], match.start(), match.end())
            continue
        empty = rest.endswith(b"/")
        if depth == 0:
            whole = Span(match.start(), match.end())
            found.append(Outer(tag, match[0], whole, Span(match.end(), match.end()), []))
            depth = 0 if empty else 1
        elif depth == 1 and empty:
            found[-1].inner.append((match[0], Span(match.start(), match.end())))
        else:
            start, opening = match.start(), match[0]
            depth += 1
    return found


def _closed(outer: Outer, inner_stop: int, stop: int) -> Outer:
    span, inside = Span(outer.span.start, stop), Span(outer.inside.start, inner_stop)
    return outer._replace(span=span, inside=inside)


def bar_spans(outline: Sequence[Outer]) -> dict[str, list[Span | None]]:
    """Where each bar stands, by the id of its part; None for a bar its part is left out of.

    Args:
        outline: of a text.
    """
    found: dict[str, list[Span | None]] = {}
    bars = 0
    for outer in outline:
        if outer.tag == b"part":
            own = found.setdefault(id_in(outer.opening), [])
            own += [span for _, span in outer.inner]
            continue
        for opening, span in outer.inner:
            own = found.setdefault(id_in(opening), [])
            own += [None] * (bars - len(own)) + [span]
        bars += 1
    return {part: [*own, *[None] * (bars - len(own))] for part, own in found.items()}


def id_in(opening: bytes) -> str:
    """The id in a start tag; empty where it has none."""
    closed = opening if opening.endswith(b"/>") else opening[:-1] + b"/>"
    try:
        return str(etree.fromstring(closed, etree.XMLParser(recover=True)).get("id", ""))
    except (etree.XMLSyntaxError, AttributeError):
        return ""
