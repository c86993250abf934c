"""What a ``<direction>`` says, read once for all that say the same."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import msgspec

from rewriter.musicxml.note_reading import serialised
from rewriter.scores.children import element_of
from rewriter.scores.notes import positive

if TYPE_CHECKING:
    from lxml.etree import _Element as Element


class Sign(NamedTuple):
    """One thing in a ``<direction-type>``.

    Attributes:
        tag: such as ``words``, ``wedge``; a dynamic has ``dynamics``.
        type: its ``type`` attribute; empty where it has none.
        number: its ``number`` attribute; ``1`` where it has none.
        text: of words and rehearsal marks; of dynamics, such as ``mf``.
        data: the element as bytes.
    """

    tag: str
    type: str
    number: str
    text: str
    data: bytes


class DirectionForm(msgspec.Struct, frozen=True):
    """A direction.

    Attributes:
        signs: in document order.
        offset: divisions of the file from where it stands; below zero for earlier.
        staff: counted from the top, as text; empty where it does not say.
        voice: its name; empty where it does not say.
        sound: attributes of its ``<sound>``, such as (``tempo``, ``96``).
    """

    signs: tuple[Sign, ...]
    offset: Fraction
    staff: str
    voice: str
    sound: tuple[tuple[str, str], ...]


@lru_cache(maxsize=4096)
def read_direction_form(data: bytes) -> DirectionForm:
    """The form of a direction.

    Args:
        data: as lxml writes it.
    """
    return _read(element_of(data))


def _read(direction: Element) -> DirectionForm:
    signs = tuple(
        _sign(child)
        for holder in direction.iterchildren("direction-type")
        for child in holder.iterchildren("*")
    )
    staff, voice = ((direction.findtext(tag) or "").strip() for tag in ("staff", "voice"))
    sound = direction.find("sound")
    heard = () if sound is None else tuple((str(k), str(v)) for k, v in sound.attrib.items())
    return DirectionForm(
        signs, _offset(direction.findtext("offset") or ""), staff, voice, heard
    )


def _sign(element: Element) -> Sign:
    tag = str(element.tag)
    text = (element.text or "").strip()
    if tag == "dynamics":
        marks = element.iterchildren("*")
        text = "".join(mark.text or "" if mark.tag == "other-dynamics" else str(mark.tag)
                       for mark in marks)  # fmt: skip
    number = element.get("number", "1")
    return Sign(tag, element.get("type", ""), number, text, serialised(element))


def _offset(text: str) -> Fraction:
    said = text.strip()
    distance = positive(said.removeprefix("-")) or Fraction(0)
    return -distance if said.startswith("-") else distance
