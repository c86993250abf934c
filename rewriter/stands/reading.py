"""A written score taken apart without building it: its header as a tree, its bars as bytes.

Most bars go into a part as they stand. So a bar is read as a tree only where something in it
has to be looked at or changed. What the tool itself wrote and nobody touched is not even parsed
once: its bytes are known to be as the tool writes them.
"""

from __future__ import annotations

import os
import re
from bisect import bisect_left
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.containers import MOST_BYTES, is_zip, unzip_score
from rewriter.musicxml.note_reading import serialised
from rewriter.musicxml.opening import open_score
from rewriter.musicxml.parsing import parse_score, safe_parser
from rewriter.musicxml.saving import is_untouched
from rewriter.problems import Refused
from rewriter.stands.time import divisions_of

if TYPE_CHECKING:
    from lxml.etree import _Element as Element
    from lxml.etree import _ElementTree as ElementTree

_END: Final = b"</measure>"
_FIRST_PART: Final = b"<part "
_DIVISIONS: Final = re.compile(rb"<divisions>([^<]*)</divisions>")
_PAGE_OF_THE_SCORE: Final = ("new-system", "new-page", "blank-page", "page-number")
_LAYOUT_OF_THE_SCORE: Final = (
    "page-layout", "system-layout", "staff-layout", "measure-layout",
)  # fmt: skip


class WrittenPart:
    """A part of a score, bar by bar.

    Attributes:
        entry: its ``<score-part>``; one made up where the part list has none.
        bars: each ``<measure>`` as bytes.
    """

    def __init__(self, entry: Element, bars: list[bytes]) -> None:
        self.entry = entry
        self.bars = bars
        self._parser = safe_parser()

    @property
    def id(self) -> str:
        """The id the part list knows it by."""
        return self.entry.get("id", "")

    @property
    def name(self) -> str:
        """What the score calls it in full, else in short, else its id."""
        for tag in ("part-name", "part-abbreviation"):
            text = " ".join((self.entry.findtext(tag) or "").split())
            if text:
                return text
        return self.id

    @property
    def short_name(self) -> str:
        """What the score calls it in short, else in full."""
        return " ".join((self.entry.findtext("part-abbreviation") or "").split()) or self.name

    @property
    def sound(self) -> str:
        """The standard's id of its first instrument, such as ``strings.cello``."""
        return (self.entry.findtext("score-instrument/instrument-sound") or "").strip()

    def bar(self, index: int) -> Element:
        """A bar as a tree of its own."""
        return etree.fromstring(self.bars[index], self._parser)

    def has(self, tag: bytes) -> list[int]:
        """Indexes of the bars in which an element stands, by the beginning of its tag."""
        return [index for index, bar in enumerate(self.bars) if tag in bar]

    @cached_property
    def _divisions(self) -> tuple[list[int], list[Fraction]]:
        """Bars that say how many divisions a quarter has, and what the last in each says."""
        indexes, values = [], []
        for index in self.has(b"<divisions>"):
            found = _DIVISIONS.findall(self.bars[index])
            said = [divisions_of(text.decode()) for text in found] or [None]
            indexes.append(index)
            values.append(said[-1] or Fraction(1))
        return indexes, values

    def divisions_before(self, index: int) -> Fraction:
        """Divisions of a quarter in force where a bar begins, its own opening not read yet."""
        indexes, values = self._divisions
        place = bisect_left(indexes, index)
        return values[place - 1] if place else Fraction(1)

    @property
    def all_divisions(self) -> set[Fraction]:
        """All divisions of a quarter it uses."""
        return {Fraction(1), *self._divisions[1]}


class WrittenScore(NamedTuple):
    """A score, ready to be taken apart.

    Attributes:
        root: for its header; whether it still holds the parts is nobody's affair.
        parts: in score order.
        name: the file as the user named it; ``score`` for bytes and trees.
    """

    root: Element
    parts: list[WrittenPart]
    name: str


def read_written(
    source: str | os.PathLike[str] | bytes | Element | ElementTree, *, trusted: bool = True
) -> WrittenScore:
    """Read a score bar by bar.

    Args:
        source: a path, the bytes of a file, or an lxml tree, which is not changed.
        trusted: take a score for well-formed that says it is untouched output of the tool; a
            bar of it that is not is found when it is looked at.

    Raises:
        Refused: there is no score that can be read, with the file named.
    """
    name = os.fspath(source) if isinstance(source, (str, os.PathLike)) else "score"
    data = _own_bytes(source) if trusted else None
    if data is not None:
        own = _split(data, name)
        if own is not None:
            return own
    try:
        root = open_score(source).root
    except Refused as refused:
        refused.file = name
        raise
    parts = root.findall("part")
    _forget_page(root)
    ids = [part.get("id", "") for part in parts]
    listed = _listed(root, ids, [[] for _ in parts])
    for part, element in zip(listed, parts, strict=True):
        _forget_others_instruments(element, part.entry)
        part.bars += [serialised(bar) for bar in element.iterchildren("measure")]
    return WrittenScore(root, listed, name)


def _own_bytes(
    source: str | os.PathLike[str] | bytes | Element | ElementTree,
) -> bytes | None:
    """The bytes of a score the tool wrote and nobody changed, unzipped; else None."""
    data = source if isinstance(source, bytes) else None
    if isinstance(source, (str, os.PathLike)):
        try:
            path = Path(source)
            if not path.is_file() or path.stat().st_size > MOST_BYTES:
                return None
            data = path.read_bytes()
        except (OSError, ValueError):
            return None
    if data is None:
        return None
    try:
        data = unzip_score(data) if is_zip(data) else data
    except Refused:
        return None
    return data if is_untouched(data) else None


def _split(data: bytes, name: str) -> WrittenScore | None:
    """Cut the tool's own output at its tags; None if it is not quite what the tool writes."""
    if data.count(b"<!") != 1 or data.count(_END) != data.count(b"<measure "):
        return None  # more than the document type: comments and the like
    head, *parts = data.split(_FIRST_PART)
    ids, bars = [], []
    try:
        root = parse_score(head + b"</score-partwise>")
        for part in parts:
            opening, _, music = part.partition(b">")
            *pieces, _ = music.split(_END)
            ids.append(str(etree.fromstring(_FIRST_PART + opening + b"/>").get("id")))
            bars.append([piece.lstrip() + _END for piece in pieces])
    except (Refused, etree.XMLSyntaxError):
        return None
    if not bars or not all(bars):
        return None
    return WrittenScore(root, _listed(root, ids, bars), name)


def _listed(root: Element, ids: list[str], bars: list[list[bytes]]) -> list[WrittenPart]:
    entries = {entry.get("id"): entry for entry in root.iterfind("part-list/score-part")}
    parts = []
    for part_id, music in zip(ids, bars, strict=True):
        entry = entries.get(part_id)
        if entry is None:
            entry = etree.Element("score-part", {"id": part_id})
            etree.SubElement(entry, "part-name").text = part_id
        parts.append(WrittenPart(entry, music))
    return parts


def _forget_others_instruments(part: Element, entry: Element) -> None:
    """Drop references to instruments of other parts, which a part by itself cannot name."""
    own = {instrument.get("id") for instrument in entry.iterfind("score-instrument")}
    for element in list(part.iter("instrument", "instrument-change")):
        parent = element.getparent()
        if element.get("id") not in own and parent is not None:
            parent.remove(element)


def _forget_page(root: Element) -> None:
    """Leave behind where the score's page breaks its lines and how wide its bars are."""
    for tag in ("print", "measure"):
        for element in list(root.iter(tag)):
            if tag == "measure":
                element.attrib.pop("width", None)
                continue
            for key in _PAGE_OF_THE_SCORE:
                element.attrib.pop(key, None)
            for child in list(element):
                if child.tag in _LAYOUT_OF_THE_SCORE:
                    element.remove(child)
            parent = element.getparent()
            if len(element) == 0 and not element.attrib and parent is not None:
                parent.remove(element)
