"""MusicXML elements as bytes, and what of them belongs to a page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from lxml import etree

from rewriter.musicxml.note_shapes import Notation

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml.etree import _Element as Element

LONGEST: Final = 10**7
"""Divisions; a longer note is no music but a damaged file."""

POSITIONS: Final = (
    "default-x", "default-y", "relative-x", "relative-y",
    "bezier-x", "bezier-y", "bezier-x2", "bezier-y2", "bezier-offset", "bezier-offset2",
)  # fmt: skip
"""Attributes that say where a sign stood on the page."""

FAMILIES: Final = frozenset(("ornaments", "technical", "articulations"))
"""Elements of ``<notations>`` that hold several signs each."""


class FractionalDuration(Exception):  # noqa: N818 - asks for other divisions, is no fault
    """A duration that is no whole number of divisions; `denominator` would make it one."""

    def __init__(self, denominator: int) -> None:
        super().__init__(denominator)
        self.denominator = denominator


def serialised(element: Element) -> bytes:
    """An element as UTF-8 bytes, without the white space after it."""
    return etree.tostring(element, encoding="UTF-8", with_tail=False)


def notations_of(element: Element) -> Iterator[Notation]:
    """Every sign of a ``<notations>``, those in families one by one."""
    for sign in element.iterchildren(tag=etree.Element):
        tag = str(sign.tag)
        members = sign.iterchildren(tag=etree.Element) if tag in FAMILIES else (sign,)
        family = tag if tag in FAMILIES else ""
        for member in members:
            ends, number = member.get("type", ""), member.get("number", "1")
            yield Notation(family, str(member.tag), ends, number, serialised(member))
