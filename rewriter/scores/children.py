"""A bar cut into its children, as bytes: much faster than a tree of each."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from lxml import etree

from rewriter.musicxml.note_reading import serialised

if TYPE_CHECKING:
    from collections.abc import Sequence

_CHILD: Final = re.compile(
    rb"<([^\s/>!?]+)(?:[^>]*/>|[^>]*>[^<]*</\1>|[^>]*>.*?</\1>)"
    rb"|<!--.*?-->|<\?.*?\?>",
    re.DOTALL,
)
_ATTRIBUTE: Final = re.compile(rb' ([^\s=]+)="([^"]*)"')


def children_of(data: bytes) -> list[bytes]:
    """The children of an element, comments and processing instructions among them.

    Args:
        data: an element as lxml writes it, without white space between elements.
    """
    start = data.index(b">") + 1
    if data[start - 2 : start] == b"/>":
        return []
    inner = data[start : data.rindex(b"</")]
    cut = [match[0] for match in _CHILD.finditer(inner)]
    if sum(map(len, cut)) == len(inner):
        return cut
    # One has another of its own name inside, or there is text between them.
    return [serialised(child) for child in element_of(data)]


def saying_in(bars: Sequence[bytes], openings: Sequence[bytes]) -> list[int]:
    """Indexes of the bars in which one of some pieces of text stands."""
    # `find` takes a tenth of the time of `in`, which tries a number first
    found = [at for one in openings for at, bar in enumerate(bars) if bar.find(one) >= 0]
    return found if len(openings) == 1 else sorted(set(found))


def attributes_of(data: bytes) -> dict[str, str]:
    """The attributes in an element's opening tag; their names with prefixes as written.

    Args:
        data: an element as lxml writes it.
    """
    opening = data[: data.index(b">")]
    if b"=" not in opening:
        return {}
    return {name.decode(): plain(value) for name, value in _ATTRIBUTE.findall(opening)}


def plain(text: bytes) -> str:
    """A text of a file as people read it, what stands for ``&`` and the like resolved."""
    if b"&" not in text:
        return text.decode()
    from html import unescape

    return unescape(text.decode())


def element_of(data: bytes) -> etree._Element:
    """An element as a tree of its own, nobody else's."""
    return etree.fromstring(data)
