"""Multi-bar rests: how many bars a player counts before something happens.

A rest is broken wherever the player is told something or must see something: a rehearsal mark,
a tempo, a word, a new key, metre or clef, a double bar, a repeat, an ending, a jump, a fermata.
(Common practice, no source.) The bars themselves stay in the file, as MusicXML asks.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.note_reading import serialised
from rewriter.scores.children import element_of
from rewriter.scores.quarters import in_quarters

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from lxml.etree import _Element as Element

    from rewriter.scores.events import Event
    from rewriter.scores.quarters import BarInQuarters
    from rewriter.stands.copying import PartCopy

_FEWEST: Final = 2
_PLAIN: Final = re.compile(
    rb"<measure number=\"[^\"]*\">\s*<note><rest measure=\"yes\"/><duration>\d+</duration>"
    rb"<voice>1</voice></note>\s*</measure>"
)
_SILENT_ATTRIBUTES: Final = frozenset(("divisions", "footnote", "level", "measure-style"))
_SPEAK: Final = frozenset(("barline", "attributes", "sound", "direction", "harmony"))


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
    return b"<pitch" not in bar and b"<unpitched" not in bar


def is_short(bar: bytes) -> bool:
    """True for an upbeat bar, or the rest of a bar that is divided in two."""
    return b' implicit="yes"' in bar[: bar.find(b">")]


def write_multi_rests(part: PartCopy) -> int:
    """Mark the multi-bar rests of a part, in the place of any it had.

    Args:
        part: its bars are changed.

    Returns:
        How many there are.
    """
    for index in part.having(b"<multiple-rest"):
        _forget_rest(part, index)
    rests = list(_multi_rests(_all_edges(part), part.bars))
    for start, count in rests:
        measure = part.tree(start)
        _mark(measure, count)
        part.bars[start] = serialised(measure)
    return len(rests)


def _forget_rest(part: PartCopy, index: int) -> None:
    measure = part.tree(index)
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
    return index + 1 < len(bars) and is_short(bars[index + 1])


def _all_edges(part: PartCopy) -> list[Edges | None]:
    """How each bar stands in a rest; None where somebody plays."""
    edges: list[Edges | None] = [
        _INSIDE if is_plain_rest(bar) else _ALONE if rests_in(bar) else None
        for bar in part.bars
    ]
    speaking = [
        index
        for index, bar in enumerate(part.bars)
        if edges[index] is _ALONE and not is_short(bar)
    ]
    for index, bar in in_quarters(part, speaking).items():
        edges[index] = _edges(bar)
    return edges


def _edges(bar: BarInQuarters) -> Edges:
    """How a bar stands in a rest that has more in it than a rest."""
    opens = closes = False
    for event in bar.events:
        if event.form is not None and any(
            sign.tag == "fermata" for sign in event.form.notations
        ):
            return _ALONE
        edge = _edge_of(event)
        opens, closes = opens or edge.opens, closes or edge.closes
    return Edges(opens, closes)


def _edge_of(event: Event) -> Edges:
    if event.tag not in _SPEAK:
        return _INSIDE
    child = element_of(event.data)
    if event.tag == "barline":
        return _of_barline(child)
    if event.tag == "attributes":
        if all(inner.tag in _SILENT_ATTRIBUTES for inner in child):
            return _INSIDE
    elif event.tag == "sound" and child.get("tempo") is None:
        return _INSIDE
    at_start = event.onset == 0
    if event.tag in {"sound", "direction"}:
        at_start = at_start and child.find("offset") is None
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
