"""A file of another format as MusicXML, and the count of what was not read."""

from collections import Counter
from typing import NamedTuple

from lxml import etree

from rewriter.foreign.kinds import ABC, MEI, MIDI, Kind
from rewriter.foreign.tallies import (
    tally_of_abc,
    tally_of_humdrum,
    tally_of_mei,
    tally_of_musicxml,
)
from rewriter.foreign.through_music21 import through_music21
from rewriter.foreign.tidying import tidied
from rewriter.musicxml.faults import EXPORT_AGAIN, broken_xml
from rewriter.musicxml.parsing import safe_parser
from rewriter.problems import Refused

_MEI = "{http://www.music-encoding.org/ns/mei}"

_SYLLABLES = {"wordpos": "imt", "con": "sdtu"}


class Converted(NamedTuple):
    """A file as MusicXML.

    Attributes:
        score: MusicXML.
        missing: what the file has that the score has not: kind of sign → count.
        stumbles: how often music21 did not understand what it read.
    """

    score: bytes
    missing: Counter[str]
    stumbles: int


def converted(data: bytes, kind: Kind) -> Converted:
    """MusicXML of a file.

    Args:
        data: of the file.
        kind: which it is.

    Raises:
        Refused: it cannot be read.
    """
    text = _ready(data, kind)
    written = through_music21(text.data, kind)
    score = tidied(written.score, text.names, text.title)
    return Converted(score, text.tally - tally_of_musicxml(score), written.stumbles)


class _Text(NamedTuple):
    """A file made ready for music21, and what is in it that music21 may not read."""

    data: bytes
    tally: Counter[str]
    names: list[str] = []  # noqa: RUF012 - never changed
    title: str = ""


def _ready(data: bytes, kind: Kind) -> _Text:
    """A file in the encoding and with the row ends that music21 knows.

    Raises:
        Refused: it is damaged, or holds several pieces.
    """
    if kind is MIDI:
        return _Text(data, Counter())
    if kind is MEI:
        return _ready_mei(data)
    text = _decoded(data)
    if kind is ABC:
        pieces = sum(row.startswith("X:") for row in text.split("\n"))
        if pieces > 1:
            raise Refused(f"this ABC holds {pieces} tunes", "put each into a file of its own")
        return _Text(text.encode(), tally_of_abc(text))
    return _Text(text.encode(), tally_of_humdrum(text))


def _decoded(data: bytes) -> str:
    """A text in UTF-8, or else in Latin-1, which older collections are in."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _ready_mei(data: bytes) -> _Text:
    try:
        root = etree.fromstring(data.lstrip(), safe_parser())
    except etree.XMLSyntaxError as error:
        raise broken_xml(data, error) from None
    bodies = [one for one in root.iter(f"{_MEI}mdiv") if one.find(f"{_MEI}score") is not None]
    if len(bodies) > 1:
        raise Refused(f"this MEI holds {len(bodies)} movements", "give them one by one")
    if not bodies:
        raise Refused("this MEI holds no score", EXPORT_AGAIN)
    for syllable in root.iter(f"{_MEI}syl"):
        # music21 stops at values that it does not know, such as s for a word of its own.
        for name, known in _SYLLABLES.items():
            if syllable.get(name, known[0]) not in known:
                del syllable.attrib[name]
    labels: dict[str, str] = {}
    for staff in root.iter(f"{_MEI}staffDef"):
        said = staff.get("label") or staff.findtext(f"{_MEI}label") or ""
        labels.setdefault(str(staff.get("n", "")), " ".join(said.split()))
    title = root.findtext(f".//{_MEI}titleStmt/{_MEI}title") or ""
    return _Text(
        etree.tostring(root, encoding="UTF-8"),
        tally_of_mei(bodies[0]),
        list(labels.values()),
        " ".join(title.split()),
    )
