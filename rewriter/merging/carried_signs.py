"""Marks and signs of the edited score as bytes for the new one, without their page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from lxml import etree

from rewriter.comparing.marks import lyric, mark_of
from rewriter.comparing.signs import told_by
from rewriter.editing.music import tag_of
from rewriter.musicxml.note_reading import serialised
from rewriter.scores.children import element_of
from rewriter.scores.leaving import PLACES_ON_THE_PAGE, left_out_of
from rewriter.scores.notes import read_form
from rewriter.sketch.harmonies import moved_harmony
from rewriter.theory.fifths import Interval, kept_within_seven

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

    from rewriter.comparing.things import Thing
    from rewriter.scores.score import Part

_OF_THE_PROGRAM: Final = frozenset(
    ("id", "color", "font-family", "font-size", "halign", "valign", "enclosure-rotation",
     "{http://www.w3.org/XML/1998/namespace}space")
)  # fmt: skip
"""Attributes a notation program adds by itself."""
_UNMOVED: Final = Interval(0, 0)
_ENDS: Final = ("line-end", "end-length", "size", "line", "sign")
"""Attributes that the end of a span has like its beginning."""


def child_of(part: Part, bar: int, place: int) -> bytes:
    """An element of a bar, without what says where it stands on the page.

    Args:
        part: of a score.
        bar: index.
        place: among the bar's elements.
    """
    elements = [child for child in part.children(bar) if tag_of(child)]
    return left_out_of([elements[place]], PLACES_ON_THE_PAGE)[0][0]


def mark_bytes(part: Part, thing: Thing) -> bytes:
    """What hangs on a note: the sign or lyric itself.

    Args:
        part: of the edited score.
        thing: as it has it.
    """
    form = read_form(child_of(part, thing.at.bar, thing.place))
    for sign in form.notations:
        said = mark_of(sign)
        if said and (said.kind, said.what) == (thing.kind, thing.what) and said.end != "stop":
            return _plain(element_of(sign.data))
    for data in form.children:
        if tag_of(data) == "lyric" and lyric(element_of(data)) == thing.what:
            return _plain(element_of(data))
    raise ValueError(f"no such mark on the note: {thing}")


def ending_of(sign: bytes, number: str) -> bytes:
    """The end of what begins with a sign, connected with it by a number."""
    element = element_of(sign)
    end = etree.Element(str(element.tag), {"type": "stop"})
    if tag_of(sign) != "pedal":
        end.set("number", number)
    for name in _ENDS:
        if name in element.attrib:
            end.set(name, str(element.get(name)))
    return serialised(end)


def numbered(sign: bytes, number: str) -> bytes:
    """A sign connected with its end by a number; a pedal has none."""
    element = element_of(sign)
    if element.tag != "pedal":
        element.set("number", number)
    return serialised(element)


def direction_bytes(part: Part, thing: Thing, staff: str) -> tuple[bytes, bytes]:
    r"""A direction that says one thing only, in two pieces between which its signs go.

    Args:
        part: of the edited score.
        thing: as it has it.
        staff: number to be said; empty for none.

    Returns:
        The signs, ready to be numbered, and the whole with ``\0`` in their place.
    """
    direction = element_of(child_of(part, thing.at.bar, thing.place))
    pieces = list(told_by(direction))
    wanted = [
        signs
        for sign, signs in pieces
        if (sign.kind, sign.what) == (thing.kind, thing.what) and sign.end != "stop"
    ]
    if not wanted:
        raise ValueError(f"no such sign in the direction: {thing}")
    sounds = direction.findall("sound") if len(pieces) == 1 or thing.kind == "tempo" else []
    signs = b"".join(_plain(sign) for sign in wanted[0])
    shell = etree.Element("direction")
    for name in ("placement", "directive"):
        if name in direction.attrib:
            shell.set(name, str(direction.get(name)))
    etree.SubElement(shell, "direction-type").text = "@"
    if staff:
        etree.SubElement(shell, "staff").text = staff
    shell.extend(sound for sound in sounds if sound.find("offset") is None)
    return signs, _plain(shell).replace(b">@<", b">\0<")


def shell_of(placement: str, staff: str) -> bytes:
    r"""A direction without signs, ``\0`` in their place."""
    shell = etree.Element("direction")
    if placement:
        shell.set("placement", placement)
    etree.SubElement(shell, "direction-type").text = "@"
    if staff:
        etree.SubElement(shell, "staff").text = staff
    return serialised(shell).replace(b">@<", b">\0<")


def harmony_bytes(part: Part, thing: Thing, by: Interval) -> bytes:
    """A chord symbol or figures, moved.

    Args:
        part: of the edited score.
        thing: as it has it.
        by: so much higher.
    """
    element = element_of(child_of(part, thing.at.bar, thing.place))
    for offset in element.findall("offset"):
        element.remove(offset)
    for staff in element.findall("staff"):
        element.remove(staff)
    if thing.kind == "chord symbol":
        return _plain(element_of(moved_harmony(element, 1, by)))
    return _plain(element)


def standing_bytes(part: Part, thing: Thing, by: Interval, *, staves: int) -> bytes:
    """A clef, key, metre or the like in an ``<attributes>`` of its own.

    Args:
        part: of the edited score.
        thing: as it has it.
        by: a key is so much higher.
        staves: of the part it goes into.
    """
    attributes = element_of(child_of(part, thing.at.bar, thing.place))
    tag = STANDING[thing.kind]
    shell = etree.Element("attributes")
    for element in attributes.findall(tag):
        if tag != "staff-details" and not _is_it(element, thing):
            continue
        if staves == 1:
            element.attrib.pop("number", None)
        if tag == "key" and by != _UNMOVED:
            _move_key(element, by)
        shell.append(element)
    return _plain(shell)


STANDING: Final = {
    "clef": "clef", "key": "key", "metre": "time", "transposition": "transpose",
    "staff lines": "staff-details",
}  # fmt: skip
"""Kinds of things that stand until something else does, and their elements."""


def _is_it(element: Element, thing: Thing) -> bool:
    return not thing.staff or element.get("number", "1") == thing.staff


def _move_key(element: Element, by: Interval) -> None:
    fifths = element.find("fifths")
    if fifths is not None and (fifths.text or "").strip().lstrip("-").isdigit():
        was = int(fifths.text or "0")
        fifths.text = str(was + kept_within_seven(was, by).fifths)


def _plain(element: Element) -> bytes:
    for one in element.iter(etree.Element):
        for name in _OF_THE_PROGRAM & set(map(str, one.attrib)):
            del one.attrib[name]
    element.tail = None
    return serialised(element)
