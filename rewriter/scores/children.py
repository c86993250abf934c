"""A bar cut into its children, as bytes: much faster than a tree of each."""

from __future__ import annotations

import re
from typing import Final

from lxml import etree

from rewriter.musicxml.note_reading import serialised

_CHILD: Final = re.compile(
    rb"<([^\s/>!?]+)(?:[^>]*/>|[^>]*>[^<]*</\1>|[^>]*>.*?</\1>)"
    rb"|<!--.*?-->|<\?.*?\?>",
    re.DOTALL,
)
_INNER: Final = re.compile(rb"<[^>]*[^/>]>(.*)</[^<]*>", re.DOTALL)


def children_of(data: bytes) -> list[bytes]:
    """The children of an element, comments and processing instructions among them.

    Args:
        data: an element as lxml writes it, without white space between elements.
    """
    inside = _INNER.fullmatch(data)
    if inside is None:
        return []
    inner = inside[1]
    cut = [match[0] for match in _CHILD.finditer(inner)]
    if sum(map(len, cut)) == len(inner):
        return cut
    # One has another of its own name inside, or there is text between them.
    return [serialised(child) for child in element_of(data)]


def element_of(data: bytes) -> etree._Element:
    """An element as a tree of its own, nobody else's."""
    return etree.fromstring(data)
