"""Files that are no MusicXML, told by their first bytes and by their names."""

import re
from pathlib import PurePath
from typing import Final

import msgspec

_HEAD_BYTES: Final = 4096  # where a text says what it is
_UTF8_MARK: Final = b"\xef\xbb\xbf"


class Kind(msgspec.Struct, frozen=True):
    """A format that music21 reads.

    Attributes:
        name: for people.
        said: the same in a sentence, with its article.
        format: what music21 calls it.
        suffixes: what names of such files end in; the first is the usual one.
        has: how such a file is known, for a refusal.
        read: what music21 reads of it, which stands in every report.
        largest: bytes of the largest file that is tried. Measured: music21 takes 3 s for
            32 KB of MIDI, 8 s for 83 KB of Humdrum, 10 s for 494 KB of MEI, and more than two
            minutes for 64 KB of ABC; the time grows faster than the file.
    """

    name: str
    said: str
    format: str
    suffixes: tuple[str, ...]
    has: str
    read: str
    largest: int


MIDI: Final = Kind(
    "MIDI",
    "a MIDI file",
    "midi",
    (".mid", ".midi"),
    "it does not begin with MThd",
    "pitches, lengths rounded to sixteenths and triplets, metres, keys and tempo; MIDI does "
    "not say how notes are spelled, nor slurs, articulations, dynamics or words",
    2**17,
)
ABC: Final = Kind(
    "ABC",
    "ABC",
    "abc",
    (".abc",),
    "no row begins with X: and none behind it with K:",
    "notes, metres, keys, ties, slurs, tuplets, grace notes, repeats, chord symbols and tempo "
    "in figures",
    2**15,
)
HUMDRUM: Final = Kind(
    "Humdrum",
    "Humdrum",
    "humdrum",
    (".krn", ".kern", ".hmd"),
    "no row begins with **kern",
    "notes, metres, keys, ties, tuplets, grace notes, beams, articulations, fermatas and "
    "ornaments of its **kern columns",
    2**18,
)
MEI: Final = Kind(
    "MEI",
    "MEI",
    "mei",
    (".mei",),
    "its first element is not <mei>",
    "notes, metres, keys, ties, slurs, tuplets, grace notes, beams, articulations and lyrics",
    2**21,
)
KINDS: Final = (MIDI, ABC, HUMDRUM, MEI)

# Compiled where one is needed, as nearly every sketch is MusicXML.
_ABC_BEGINS: Final = rb"(?s)(?:^|[\r\n])X:[^\r\n]*[\r\n](?:.*?[\r\n])?K:"
_HUMDRUM_BEGINS: Final = rb"(?:^|[\r\n])(?:\*\*[^\t\r\n]*\t)*\*\*kern[\t\r\n]"
_MEI_BEGINS: Final = (
    rb"<(?:\w+:)?mei\s[^>]*xmlns(?::\w+)?\s*=\s*[\"']http://www\.music-encoding\.org/ns/mei"
)


def kind_in(data: bytes) -> Kind | None:
    """What bytes are, by their beginning; None where they are none of these."""
    if data.startswith(b"MThd"):
        return MIDI
    head = data[:_HEAD_BYTES].removeprefix(_UTF8_MARK)
    if b"\0" in head:
        head = head.replace(b"\0", b"")  # UTF-16, which reads like the 8-bit text without
    if head.lstrip(b"\xff\xfe \t\r\n").startswith(b"<"):
        return MEI if re.search(_MEI_BEGINS, head) else None
    if re.search(_ABC_BEGINS, head):
        return ABC
    return HUMDRUM if re.search(_HUMDRUM_BEGINS, head) else None


def kind_named(name: str) -> Kind | None:
    """What a file is by the end of its name; None where that says nothing of the kind."""
    suffix = PurePath(name).suffix.lower()
    return next((kind for kind in KINDS if suffix in kind.suffixes), None)
