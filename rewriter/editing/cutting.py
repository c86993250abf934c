"""Where the children of an element stand in the text of a file, white space and all.

The text is the file's own: with comments, CDATA, line ends and entities as they were written.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.scores.children import plain
from rewriter.scores.text import Span

if TYPE_CHECKING:
    from collections.abc import Container

_TOKENS: Final = re.compile(
    rb"<!--.*?-->|<!\[CDATA\[.*?\]\]>|<\?.*?\?>|<!DOCTYPE[^\[>]*(?:\[.*?\]\s*)?>"
    rb"|<(/?)([^\s/>!?]+)((?:[^>\"']|\"[^\"]*\"|'[^']*')*)>",
    re.DOTALL,
)
_ATTRIBUTES: Final = re.compile(rb"""([^\s=]+)\s*=\s*(?:"[^"]*"|'[^']*')""")
_ROOM: Final = 4096
"""Bytes looked back for white space; no line is indented further."""


class Child(NamedTuple):
    """An element inside another.

    Attributes:
        span: from its ``<`` to the end of its end tag.
        tag: element name.
        space: white space before it, from which new neighbours take their line and indent.
    """

    span: Span
    tag: bytes
    space: bytes


class Inside(NamedTuple):
    """What is inside an element.

    Attributes:
        children: its elements; comments, processing instructions and text are not among them.
        span: from the end of its start tag to the start of its end tag.
        empty: its name where it is written as one tag, which has no inside.
    """

    children: list[Child]
    span: Span
    empty: bytes = b""


def inside_of(data: bytes, start: int, *, until: Container[bytes] = ()) -> Inside:
    """The inside of an element.

    Args:
        data: a text.
        start: where the element begins, or anything but another element before it.
        until: names; the first child so called, and all after it, are left out.

    Raises:
        ValueError: no element begins and ends there.
    """
    children: list[Child] = []
    depth = opened = inner = 0
    for token in _TOKENS.finditer(data, start):
        closing, tag, rest = token.groups()
        if tag is None:
            continue
        if not closing and depth == 1 and tag in until:
            return Inside(children, Span(inner, token.start()))
        single = not closing and rest.endswith(b"/")
        if depth == 0:
            inner = token.end()
            if single:
                return Inside([], Span(token.start(), inner), tag)
        elif depth == 1 and not closing:
            opened = token.start()
        depth += 0 if single else -1 if closing else 1
        if depth == 0:
            return Inside(children, Span(inner, token.start()))
        if depth == 1 and token.start() >= inner:
            children.append(_child(data, Span(opened, token.end()), inner))
    raise ValueError("no element begins and ends here")


def _child(data: bytes, span: Span, inner: int) -> Child:
    opening = _TOKENS.match(data, span.start)
    return Child(span, opening[2] if opening else b"", space_before(data, span.start, inner))


def space_before(data: bytes, at: int, start: int) -> bytes:
    """White space before a place.

    Args:
        data: a text.
        at: the place.
        start: how far back it can go.
    """
    room = data[max(start, at - _ROOM) : at]
    return room[len(room.rstrip(b" \t\r\n")) :]


def inner_of(element: bytes) -> bytes:
    """What stands between the tags of an element.

    >>> inner_of(b"<a> <b/> </a>"), inner_of(b"<a/>")
    (b' <b/> ', b'')
    """
    inside = inside_of(element, 0)
    return b"" if inside.empty else element[inside.span.start : inside.span.stop]


def attribute_in(element: bytes, name: str) -> str:
    """An attribute of an element as it stands in its file; empty where it has none.

    >>> attribute_in(b"<tie  type = 'start'/>", "type")
    'start'
    """
    span = attribute_span(element, name)
    if span is None:
        return ""
    said = element[span.start : span.stop].partition(b"=")[2].strip()
    return plain(said[1:-1])


def attribute_span(element: bytes, name: str) -> Span | None:
    """Where an attribute stands in an element, name and quotes too; None where it has none."""
    opening = _TOKENS.match(element)
    if opening is None or opening[3] is None:
        return None
    for found in _ATTRIBUTES.finditer(element, *opening.span(3)):
        if found[1].decode() == name:
            return Span(*found.span())
    return None
