"""One sign taken out of an element that may say more: off a note, out of a direction."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from lxml import etree

from rewriter.comparing.marks import lyric, mark_of
from rewriter.comparing.signs import barline, breaks, figures, harmony, told_by
from rewriter.musicxml.note_reading import FAMILIES, notations_of, serialised
from rewriter.scores.children import element_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml.etree import _Element as Element

    from rewriter.comparing.things import Sign
    from rewriter.theory.fifths import Interval


class Wanted(NamedTuple):
    """A sign looked for.

    Attributes:
        kind: as things have it.
        what: what it says; not asked of the end of what spans.
        end: ``start`` or ``stop`` for one end of what spans; empty for the rest.
        number: what connects two ends; empty for any.
    """

    kind: str
    what: str
    end: str = ""
    number: str = ""

    def is_it(self, sign: Sign) -> bool:
        """True for a sign that says just this."""
        return (
            sign.kind == self.kind
            and sign.end == self.end
            and (self.end == "stop" or sign.what == self.what)
            and self.number in {"", _plain(sign.number)}
        )


class Off(NamedTuple):
    """What is left.

    Attributes:
        data: the element without the sign; empty where it has nothing else to say.
        number: what connected the sign with its other end.
    """

    data: bytes
    number: str


def off_note(note: bytes, wanted: Wanted) -> Off | None:
    """A note without a mark; None where it does not have it.

    >>> note = b'<note><rest/><notations><fermata/><slur type="stop"/></notations></note>'
    >>> off_note(note, Wanted("slur", "", "stop")).data
    b'<note><rest/><notations><fermata/></notations></note>'
    """
    element = element_of(note)
    if wanted.kind == "lyric":
        for child in element.findall("lyric"):
            if lyric(child) == wanted.what:
                element.remove(child)
                return Off(serialised(element), "1")
        return None
    for notations in element.findall("notations"):
        for child, sign in zip(_members(notations), notations_of(notations), strict=True):
            said = mark_of(sign)
            if said is None or not wanted.is_it(said):
                continue
            _remove(child)
            return Off(serialised(element), _plain(said.number))
    return None


def _members(notations: Element) -> Iterator[Element]:
    for sign in notations.iterchildren(tag=etree.Element):
        if sign.tag in FAMILIES:
            yield from sign.iterchildren(tag=etree.Element)
        else:
            yield sign


def _remove(element: Element) -> None:
    """Remove an element, and what held nothing else up to the note or direction."""
    parent = element.getparent()
    if parent is None:
        return
    parent.remove(element)
    if not len(parent) and parent.tag in {*FAMILIES, "notations", "direction-type"}:
        _remove(parent)


def off_other(data: bytes, wanted: Wanted, sounding: Interval) -> Off | None:
    """An element beside the notes without a sign; None where it does not have it.

    Args:
        data: a direction, chord symbol, barline, ``<print>`` or the like.
        wanted: the sign.
        sounding: from what is written to what is compared, for chord symbols.
    """
    element = element_of(data)
    for sign, elements in _said_by(element, sounding):
        if not wanted.is_it(sign):
            continue
        if elements == [element]:
            return Off(b"", "1")
        for one in elements:
            _remove(one)
        nothing = element.tag == "direction" and element.find("direction-type") is None
        nothing = nothing or (element.tag == "barline" and not len(element))
        return Off(b"" if nothing else serialised(element), _plain(sign.number))
    return None


def _said_by(element: Element, sounding: Interval) -> Iterator[tuple[Sign, list[Element]]]:
    """What an element says, and which of its elements say it."""
    tag = element.tag
    if tag == "direction":
        yield from told_by(element)
    elif tag == "harmony":
        yield harmony(element, sounding), [element]
    elif tag == "figured-bass":
        yield figures(element), [element]
    elif tag == "barline":
        for sign in barline(element):
            yield (
                sign,
                [one for path in _OF_BARLINE[sign.kind] for one in element.findall(path)],
            )
    elif tag == "print":
        for sign in breaks(element):
            yield sign, [element]


_OF_BARLINE = {
    "repeat": ("repeat", "bar-style"), "barline": ("bar-style",), "ending": ("ending",),
    "fermata": ("fermata",), "jump": ("segno", "coda"),
}  # fmt: skip


def _plain(number: str) -> str:
    """A number without what comparing adds to it.

    >>> _plain("wedge 2"), _plain("1")
    ('2', '1')
    """
    return number.rpartition(" ")[2]
