"""Bytes that changed outside the bars somebody named, found by text alone.

It shares no line with the package: bars are what stands between ``<measure`` and
``</measure>``, or in a score sorted by bars between ``<part`` and ``</part>``, in the text of
the file as its declaration says it is to be read.
"""

import codecs
import io
import re
import zipfile
from collections.abc import Collection, Iterator
from itertools import zip_longest
from typing import NamedTuple

PART_LIST = ("", -1)
"""What stands between the tags of the part list, as a place."""

_ASIDE = r"<!--.*?-->|<\?.*?\?>|<!\[CDATA\[.*?\]\]>|<!DOCTYPE[^\[>]*(?:\[.*?\]\s*)?>"
_DECLARED = re.compile(rb"encoding\s*=\s*[\"']([A-Za-z0-9._-]+)")
_BOMS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)


class Piece(NamedTuple):
    """A piece of a text: a bar (part id, index), the part list, or what lies between (None)."""

    place: tuple[str, int] | None
    text: str


def unzipped(data: bytes) -> tuple[bytes, dict[str, bytes]]:
    """The score of a file, and the other entries of its zip by name."""
    if data[:2] != b"PK":
        return data, {}
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        entries = {name: archive.read(name) for name in archive.namelist()}
    container = entries.get("META-INF/container.xml", b"").decode()
    named = re.search(r"<rootfile\b[^>]*?full-path\s*=\s*[\"']([^\"']*)", container)
    inner = named[1] if named else next(n for n in entries if n.endswith((".xml", ".musicxml")))
    return entries.pop(inner), entries


def text_of(data: bytes) -> str:
    """The text of a file; what cannot be read in it stays as it is, byte for byte."""
    for mark, encoding in _BOMS:
        if data.startswith(mark):
            return data.decode(encoding, "surrogateescape")
    if data[:2] in {b"<\0", b"\0<"}:
        return data.decode("utf-16-le" if data[0] else "utf-16-be")
    declared = _DECLARED.search(data.partition(b"?>")[0])
    name = declared[1].decode() if declared else "utf-8"
    if name.lower().startswith("utf-16"):
        name = "utf-8"
    return data.decode(name, "surrogateescape")


def pieces_of(text: str) -> Iterator[Piece]:
    """A text cut into its bars, its part list, and what lies between."""
    by_bars = re.search(r"<score-timewise\b", re.sub(_ASIDE, "", text, flags=re.DOTALL))
    outer, inner = ("measure", "part") if by_bars else ("part", "measure")
    tags = re.compile(
        rf"{_ASIDE}|<({outer}|{inner}|part-list)(?=[\s/>])[^>]*?(/?)>|</({inner}|part-list)\s*>",
        re.DOTALL,
    )
    at, start, bar = 0, 0, -1
    part, place = "", None
    for tag in tags.finditer(text):
        opened, empty, closed = tag.groups()
        named = re.search(r"\bid\s*=\s*[\"']([^\"']*)", tag[0]) if opened else None
        if opened == "part":
            part = named[1] if named else ""
        if opened == outer:
            bar = bar + 1 if by_bars else -1
        elif opened:
            bar += inner == opened == "measure"
            place = PART_LIST if opened == "part-list" else (part, bar)
            start = tag.start()
        if closed or (opened not in {None, outer} and empty):
            yield Piece(None, text[at:start])
            yield Piece(place, text[start : tag.end()])
            at = tag.end()
    yield Piece(None, text[at:])


def changed_outside(
    was: bytes, made: bytes, named: Collection[tuple[str, int]]
) -> Iterator[str]:
    """Where bytes are not what they were, places that are named aside.

    Args:
        was: the file before.
        made: the file after.
        named: (part id, bar counted from 0), and `PART_LIST`, with which parts may have
            changed places.
    """
    (old, others), (new, others_now) = unzipped(was), unzipped(made)
    if (was[:2] == b"PK") != (made[:2] == b"PK") or others != others_now:
        yield "another entry of the zip"
    cut = [[*pieces_of(text_of(data))] for data in (old, new)]
    if PART_LIST in named:
        cut = [sorted(pieces, key=_by_part) for pieces in cut]
    for one, other in zip_longest(*cut):
        if one is None or other is None or one.place != other.place:
            yield f"other places: {one and one.place}, {other and other.place}"
            return
        if one.text != other.text and one.place not in named:
            yield f"{one.place}: {one.text[:60]!r}, now {other.text[:60]!r}"


def _by_part(piece: Piece) -> tuple[bool, tuple[str, int], str]:
    """Bars part by part, in whichever order these stand; then what lies between bars."""
    between = piece.place is None
    return between, piece.place or PART_LIST, piece.text if between else ""


def changed_places(was: bytes, made: bytes) -> set[tuple[str, int] | None]:
    """Places whose bytes are not what they were; None for what lies between bars."""
    old, new = (pieces_of(text_of(unzipped(data)[0])) for data in (was, made))
    return {one.place for one, other in zip(old, new, strict=True) if one.text != other.text}
