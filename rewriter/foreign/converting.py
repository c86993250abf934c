"""A file of another format as MusicXML, and the count of what was not read."""

from collections import Counter
from typing import NamedTuple

from rewriter.foreign.kinds import ABC, MEI, MIDI, Kind
from rewriter.foreign.mei import plain_mei
from rewriter.foreign.tallies import (
    tally_of_abc,
    tally_of_humdrum,
    tally_of_mei,
    tally_of_musicxml,
)
from rewriter.foreign.through_music21 import through_music21
from rewriter.foreign.tidying import Unread, tidied
from rewriter.problems import Refused


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
    score = tidied(written.score, text.unread)
    return Converted(score, text.tally - tally_of_musicxml(score), written.stumbles)


class _Text(NamedTuple):
    """A file made ready for music21, and what is in it that music21 may not read."""

    data: bytes
    tally: Counter[str]
    unread: Unread = Unread()


def _ready(data: bytes, kind: Kind) -> _Text:
    """A file in the encoding and with the row ends that music21 knows.

    Raises:
        Refused: it is damaged, or holds several pieces.
    """
    if kind is MIDI:
        return _Text(data, Counter())
    if kind is MEI:
        mei = plain_mei(data)
        return _Text(mei.data, tally_of_mei(mei.music), mei.unread)
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
