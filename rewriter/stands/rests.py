"""Multi-bar rests: how many bars a player counts before something happens.

A rest is broken wherever the player is told something or must see something: a rehearsal mark,
a tempo, a word, a new key, metre or clef, a double bar, a repeat, an ending, a jump, a fermata.
(Common practice, no source.) The bars themselves stay in the file, as MusicXML asks.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.note_reading import serialised
from rewriter.stands.time import placed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from lxml.etree import _Element as Element

    from rewriter.stands.reading import WrittenPart

_FEWEST: Final = 2
_PLAIN: Final = re.compile(
    rb"<measure number=\"[^\"]*\">\s*<note><rest measure=\"yes\"/><duration>\d+</duration>"
    rb"<voice>1</voice></note>\s*</measure>"
)
_SILENT_ATTRIBUTES: Final = frozenset(("divisions", "footnote", "level", "measure-style"))


class Edges(NamedTuple):
    """How a resting bar stands among others.

    Attributes:
        opens: a new rest begins with it.
        closes: the rest ends with it.
    """

    opens: bool
    closes: bool


_INSIDE: Final = Edges(opens=False, closes=False)
_ALONE: Final = Edges(opens=True, closes=True)


def is_plain_rest(bar: bytes) -> bool:
    """True when a bar is a whole-bar rest and nothing else."""
    return _PLAIN.fullmatch(bar) is not None


def rests_in(bar: bytes) -> bool:
    """True when nothing is played in a bar."""
    return b"<pitch>" not in bar and b"<unpitched" not in bar


def write_multi_rests(part: WrittenPart) -> int:
    """Mark the multi-bar rests of a part, in the place of any it had.

    Args:
        part: its bars are changed.

    Returns:
        How many there are.
    """
    for index in part.has(b"<multiple-rest"):
        _forget_rest(part, index)
    rests = list(_multi_rests([_edges(bar) for bar in part.bars], part.bars))
    for start, count in rests:
        measure = part.bar(start)
        _mark(measure, count)
        part.bars[start] = serialised(measure)
    return len(rests)


def _forget_rest(part: WrittenPart, index: int) -> None:
    measure = part.bar(index)
    for attributes in measure.findall("attributes"):
        for style in attributes.findall("measure-style"):
            if style.find("multiple-rest") is not None:
                attributes.remove(style)
        if len(attributes) == 0:
            measure.remove(attributes)
    part.bars[index] = serialised(measure)


def _multi_rests(
    edges: Sequence[Edges | None], bars: Sequence[bytes]
) -> Iterator[tuple[int, int]]:
    """First bar and number of bars of each rest of several bars."""
    start = count = 0
    for index, edge in enumerate([*edges, None]):
        if edge is None or edge.opens:
            if count >= _FEWEST:
                yield start, count
            count = 0
        if edge is None:
            continue
        if not count:
            start = index
        count += 1
        if edge.closes or _is_divided(bars, index):
            if count >= _FEWEST:
                yield start, count
            count = 0


def _is_divided(bars: Sequence[bytes], index: int) -> bool:
    """True when the next bar is the rest of this one, so that they cannot be counted."""
    return index + 1 < len(bars) and _is_short(bars[index + 1])


def _is_short(bar: bytes) -> bool:
    return b' implicit="yes"' in bar[: bar.find(b">")]


def _edges(bar: bytes) -> Edges | None:
    """How a bar stands in a rest; None where somebody plays."""
    if is_plain_rest(bar):
        return _INSIDE
    if not rests_in(bar):
        return None
    if _is_short(bar):
        return _ALONE
    measure = etree.fromstring(bar)
    if measure.find("note/notations/fermata") is not None:
        return _ALONE
    opens = closes = False
    for child, onset, _, _ in placed(measure, Fraction(1)):
        edge = _edge_of(child, at_start=onset == 0)
        opens, closes = opens or edge.opens, closes or edge.closes
    return Edges(opens, closes)


def _edge_of(child: Element, *, at_start: bool) -> Edges:
    if child.tag == "barline":
        return _of_barline(child)
    if child.tag == "attributes":
        if all(inner.tag in _SILENT_ATTRIBUTES for inner in child):
            return _INSIDE
    elif child.tag in {"sound", "direction"}:
        if child.tag == "sound" and child.get("tempo") is None:
            return _INSIDE
        at_start = at_start and child.find("offset") is None
    elif child.tag != "harmony":
        return _INSIDE
    return Edges(opens=True, closes=not at_start)


def _of_barline(barline: Element) -> Edges:
    speaks = [e for e in barline if e.tag not in {"footnote", "level", "bar-style"}]
    style = barline.findtext("bar-style", "regular").strip()
    if not speaks and style in {"regular", "none"}:
        return _INSIDE
    if barline.find("fermata") is not None or barline.get("location") == "middle":
        return _ALONE
    left = barline.get("location") == "left"
    return Edges(opens=left, closes=not left)


def _mark(measure: Element, count: int) -> None:
    """Say it in attributes of its own right before the rest.

    Some readers look at nothing more in a bar once they have met a multi-bar rest, so marks
    and clefs stand before it (verovio 5.x does so).
    """
    attributes = etree.Element("attributes")
    style = etree.SubElement(attributes, "measure-style")
    etree.SubElement(style, "multiple-rest").text = str(count)
    music = measure.find("note")
    music = measure.find("forward") if music is None else music
    measure.insert(len(measure) if music is None else measure.index(music), attributes)


def opening_attributes(measure: Element) -> Element:
    """The ``<attributes>`` a bar begins with; one is put in where there is none."""
    place = 0
    for place, child in enumerate(measure):  # noqa: B007 - the place is the result
        if child.tag == "attributes":
            return child
        if child.tag in {"note", "forward", "backup", "direction"}:
            break
        if child.tag == "barline" and child.get("location") != "left":
            break
    else:
        place = len(measure)
    made = etree.Element("attributes")
    measure.insert(place, made)
    return made
