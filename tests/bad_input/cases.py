"""Files that are no score, each with the line the tool says about it.

Whatever opens a sketch is tried with all of them: nothing but the one line, nothing written.
"""

import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from tests.shorthand import sketch

CONTAINER = "META-INF/container.xml"
MEDIA_TYPE = "application/vnd.recordare.musicxml"
EXPORT = "export the score as MusicXML from the notation program"
AGAIN = "export the score again from the notation program"

SOUND = sketch("4/4 | C4q (D4q E4q) F4q | G4w |", tune="Flute", title="Ferry at dusk")
"""A score with nothing wrong, for spoiling."""


class BadInput(NamedTuple):
    """One file that is no score.

    Attributes:
        name: what is wrong with it, for the test's name.
        file: its name.
        build: makes it at that path.
        said: the whole line about it, after ``FILE: ``.
        said_of_sketch: where a sketch may be more than MusicXML; empty for the same.
    """

    name: str
    file: str
    build: Callable[[Path], object]
    said: str
    said_of_sketch: str = ""


def rootfile(name: str) -> bytes:
    """A container that names one score."""
    return (
        f'<container><rootfiles><rootfile full-path="{name}"/></rootfiles></container>'.encode()
    )


def zipped(*entries: tuple[str, bytes]) -> bytes:
    """A zip of these entries, deflated."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in entries:
            archive.writestr(name, data)
    return packed.getvalue()


def encrypted() -> bytes:
    """A zip whose score says it is encrypted, in both places a zip says so."""
    data = bytearray(zipped(("tune.xml", SOUND)))
    data[6] |= 1
    data[data.index(b"PK\x01\x02") + 8] |= 1
    return bytes(data)


def lying(declared: int) -> bytes:
    """A zip that gives its score another length than it has, in both places."""
    data = bytearray(zipped(("tune.xml", SOUND)))
    true = len(SOUND).to_bytes(4, "little")
    said = declared.to_bytes(4, "little")
    return bytes(data.replace(true, said))


def bomb(megabytes: int) -> bytes:
    """A zip of spaces in front of a score, a thousand times smaller than what is in it."""
    return zipped(("tune.xml", b" " * (megabytes * 2**20) + SOUND))


def with_doctype(declarations: str, text: str) -> bytes:
    """A score whose title is `text`, with declarations in its document type."""
    score = SOUND.decode().replace("Ferry at dusk", text)
    doctype = f"<!DOCTYPE score-partwise [{declarations}]>"
    return score.replace("<score-partwise", f"{doctype}<score-partwise", 1).encode()


def laughing() -> str:
    """Ten entities, each ten of the one before it."""
    said = '<!ENTITY a0 "ha">'
    for n in range(1, 11):
        again = f"&a{n - 1};" * 10
        said += f'<!ENTITY a{n} "{again}">'
    return said


def _bytes(data: bytes) -> Callable[[Path], object]:
    return lambda path: path.write_bytes(data)


_PARTWISE = '<score-partwise version="4.0"><part-list/>{}</score-partwise>'
_DEEP = (b"<part>" * 5000) + (b"</part>" * 5000)
_HALF = SOUND.replace(b"><", b">\n<")
_HALF = _HALF[: len(_HALF) // 2]
_HALF_LINES = _HALF.count(b"\n") + 1

CASES: tuple[BadInput, ...] = (
    BadInput(
        "missing",
        "nowhere.musicxml",
        lambda _path: None,
        "there is no such file; look at its name and folder",
    ),
    BadInput(
        "folder",
        "folder.musicxml",
        Path.mkdir,
        "this is a folder; name the score file in it",
    ),
    BadInput("empty", "empty.musicxml", _bytes(b""), f"the file is empty; {EXPORT}"),
    BadInput(
        "blank",
        "blank.musicxml",
        _bytes(b" \n\n"),
        f"this is not MusicXML, nor XML of any kind; {EXPORT}",
    ),
    BadInput(
        "text",
        "text.musicxml",
        _bytes(b"C D E F"),
        f"this is not MusicXML, nor XML of any kind; {EXPORT}",
    ),
    BadInput(
        "nuls",
        "nuls.musicxml",
        _bytes(bytes(400)),
        f"this is not MusicXML, nor XML of any kind; {EXPORT}",
    ),
    BadInput(
        "PDF",
        "score.pdf",
        _bytes(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"),
        f"this is a PDF, not MusicXML; {EXPORT}",
    ),
    BadInput(
        "PNG named as a score",
        "page.musicxml",
        _bytes(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"),
        f"this is a PNG picture, not MusicXML; {EXPORT}",
    ),
    BadInput(
        "MIDI",
        "tune.mid",
        _bytes(b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk"),
        f"this is a MIDI file, not MusicXML; {EXPORT}",
        f"this MIDI cannot be read; look for what is damaged in it, or {EXPORT}",
    ),
    BadInput(
        "web page",
        "page.xml",
        _bytes(b"<!DOCTYPE html>\n<html><body><br>lost</body></html>"),
        f"this is a web page, not a score; {EXPORT}",
    ),
    BadInput(
        "other XML",
        "drawing.xml",
        _bytes(b"<?xml version='1.0'?><drawing/>"),
        f"the file begins with <drawing>, which is not MusicXML; {EXPORT}",
    ),
    BadInput(
        "XML of a namespace",
        "drawing.svg",
        _bytes(b"<svg xmlns='http://www.w3.org/2000/svg'/>"),
        "the file begins with <svg> of the namespace http://www.w3.org/2000/svg,"
        f" which is not MusicXML; {EXPORT}",
    ),
    BadInput(
        "opus",
        "cycle.musicxml",
        _bytes(b"<opus version='4.0'><title>Four ferries</title></opus>"),
        "this is an opus, a list of scores; give the scores one by one",
    ),
    BadInput(
        "truncated",
        "half.musicxml",
        _bytes(_HALF),
        f"line {_HALF_LINES}: the file breaks off here; {AGAIN}",
    ),
    BadInput(
        "truncated UTF-16",
        "half16.musicxml",
        _bytes(_HALF.decode().replace("UTF-8", "UTF-16").encode("utf-16")),
        f"line {_HALF_LINES}: the file breaks off here; {AGAIN}",
    ),
    BadInput(
        "tags that cross",
        "crossed.musicxml",
        _bytes(b"<score-partwise>\n<part-list>\n</part>\n</score-partwise>"),
        f"line 3: the XML is damaged here; {AGAIN}",
    ),
    BadInput(
        "letters of another encoding",
        "letters.musicxml",
        _bytes(SOUND.replace(b"Ferry", "F\xe4hre".encode("latin-1"))),
        f"line 2: these bytes are not in the encoding this XML declares; {AGAIN}",
    ),
    BadInput(
        "unknown encoding",
        "encoding.musicxml",
        _bytes(SOUND.replace(b"UTF-8", b"pigeon")),
        f"line 1: the encoding this XML declares is not known; {AGAIN}",
    ),
    BadInput(
        "no parts",
        "partless.musicxml",
        _bytes(_PARTWISE.format("").encode()),
        f"the score has no parts; {EXPORT}",
    ),
    BadInput(
        "no parts, timewise",
        "partless-timewise.musicxml",
        _bytes(b'<score-timewise><part-list/><measure number="1"/></score-timewise>'),
        f"the score has no parts; {EXPORT}",
    ),
    BadInput(
        "no bars",
        "barless.musicxml",
        _bytes(_PARTWISE.format('<part id="P1"/><part id="P2"/>').encode()),
        f"the score has no bars; {EXPORT}",
    ),
    BadInput(
        "deep",
        "deep.musicxml",
        _bytes(b"<score-partwise>" + _DEEP + b"</score-partwise>"),
        f"line 1: elements are nested too deeply for a score; {AGAIN}",
    ),
    BadInput(
        "entities that multiply",
        "laughing.musicxml",
        _bytes(with_doctype(laughing(), "&a10;")),
        "its entities multiply one another and are not expanded;"
        " put the text itself in their place",
    ),
    BadInput(
        "entity from a file",
        "spy.musicxml",
        _bytes(with_doctype('<!ENTITY spy SYSTEM "file:///etc/passwd">', "&spy;")),
        'line 2: the entity "spy" is not defined in this file, and nothing is fetched;'
        " put the text itself in its place",
    ),
    BadInput(
        "entity from the network",
        "caller.musicxml",
        _bytes(with_doctype('<!ENTITY far SYSTEM "http://127.0.0.1:9/x">', "&far;")),
        'line 2: the entity "far" is not defined in this file, and nothing is fetched;'
        " put the text itself in its place",
    ),
    BadInput(
        "declarations from a file",
        "parameter.musicxml",
        _bytes(with_doctype('<!ENTITY % spy SYSTEM "file:///etc/passwd"> %spy;', "Ferry")),
        'line 2: the entity "spy" is not defined in this file, and nothing is fetched;'
        " put the text itself in its place",
    ),
    BadInput(
        "entity of HTML",
        "nbsp.musicxml",
        _bytes(SOUND.replace(b"Ferry at", b"Ferry&nbsp;at")),
        'line 2: the entity "nbsp" is not defined in this file, and nothing is fetched;'
        " put the text itself in its place",
    ),
    BadInput(
        "empty zip",
        "empty.mxl",
        _bytes(zipped()),
        f"this is a zip without a MusicXML score in it; {EXPORT}",
    ),
    BadInput(
        "zip of something else",
        "pictures.zip",
        _bytes(zipped(("one.png", b"\x89PNG"), ("META-INF/more.xml", b"<more/>"))),
        f"this is a zip without a MusicXML score in it; {EXPORT}",
    ),
    BadInput(
        "container naming a missing file",
        "missing.mxl",
        _bytes(zipped((CONTAINER, rootfile("gone.musicxml")), ("tune.musicxml", SOUND))),
        f'the container names "gone.musicxml", which is not in the zip; {AGAIN}',
    ),
    BadInput(
        "container naming nothing",
        "nothing.mxl",
        _bytes(zipped((CONTAINER, b"<container/>"), ("tune.musicxml", SOUND))),
        f"the list of contents in the zip names no score; {AGAIN}",
    ),
    BadInput(
        "damaged container",
        "container.mxl",
        _bytes(zipped((CONTAINER, b"<container>"), ("tune.musicxml", SOUND))),
        f"the list of contents in the zip is damaged; {AGAIN}",
    ),
    BadInput(
        "picture in the container",
        "picture.mxl",
        _bytes(zipped((CONTAINER, rootfile("a.png")), ("a.png", b"\x89PNG\r\n"))),
        f"this is a PNG picture, not MusicXML; {EXPORT}",
    ),
    BadInput(
        "truncated zip",
        "half.mxl",
        _bytes(zipped((CONTAINER, rootfile("a.xml")), ("a.xml", SOUND))[:-200]),
        f"the zip is damaged or breaks off; {AGAIN}",
    ),
    BadInput(
        "encrypted zip",
        "secret.mxl",
        _bytes(encrypted()),
        "tune.xml in the zip is encrypted; save it without a password",
    ),
    BadInput(
        "zip that is too short for what it declares",
        "shorter.mxl",
        _bytes(lying(len(SOUND) + 5)),
        f"tune.xml in the zip breaks off; {AGAIN}",
    ),
    BadInput(
        "zip that declares less than it holds",
        "longer.mxl",
        _bytes(lying(7)),
        f"the zip is damaged or breaks off; {AGAIN}",
    ),
    BadInput(
        "zip bomb",
        "bomb.mxl",
        _bytes(bomb(40)),
        f"tune.xml in the zip unpacks to more than 19 MB; {EXPORT}",
    ),
    BadInput(
        "ten thousand entries",
        "crowd.mxl",
        _bytes(zipped(*((f"{n}.xml", b"") for n in range(10_000)))),
        f"the zip holds more than 1000 entries; {EXPORT}",
    ),
)
