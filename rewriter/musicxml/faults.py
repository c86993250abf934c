"""What a file is that is no score, and where its XML breaks: one clear line for each."""

import re

from lxml import etree

from rewriter.problems import Refused
from rewriter.texts import LONGEST_QUOTE

EXPORT = "export the score as MusicXML from the notation program"
EXPORT_AGAIN = "export the score again from the notation program"

_HEAD_BYTES = 1024  # where a file says what it is
_END_BYTES = 4096  # at either end: where a whole score opens and closes its root

# First bytes → what such a file is called.
_KINDS = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"II*\x00", "a TIFF picture"),
    (b"MM\x00*", "a TIFF picture"),
    (b"MThd", "a MIDI file"),
    (b"RIFF", "a sound file"),
    (b"FORM", "a sound file"),
    (b"OggS", "a sound file"),
    (b"fLaC", "a sound file"),
    (b"ID3", "a sound file"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"BZh", "a bzip2 archive"),
    (b"\xfd7zXZ", "an xz archive"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"{\\rtf", "an RTF text"),
    (b"%!PS", "a PostScript file"),
    (b"\xd0\xcf\x11\xe0", "an old office document"),
    (b"\x7fELF", "a program"),
    (b"MZ", "a program"),
)

_ROOTS = {
    "opus": ("this is an opus, a list of scores", "give the scores one by one"),
    "html": ("this is a web page, not a score", EXPORT),
}

_HTML = re.compile(rb"\s*<(?:!doctype\s+)?html\b", re.IGNORECASE)
_CLOSED = re.compile(rb"</score-(?:part|time)wise\s*>")
_UNDEFINED = re.compile(r"Entity '([^']*)' not defined")


def shown(name: str) -> str:
    """A name out of a file, fit for one line on a terminal: no control signs, not too long."""
    return "".join(sign if sign.isprintable() else "?" for sign in name[:LONGEST_QUOTE])


def what_instead(data: bytes) -> Refused | None:
    """The refusal for bytes that are plainly something other than XML.

    Only the first bytes are looked at.

    Returns:
        None when the bytes may be XML.
    """
    if not data:
        return Refused("the file is empty", EXPORT)
    for magic, kind in _KINDS:
        if data.startswith(magic):
            return Refused(f"this is {kind}, not MusicXML", EXPORT)
    head = data[:_HEAD_BYTES].removeprefix(b"\xef\xbb\xbf")
    if head.startswith(b"<score-"):
        return None
    if _HTML.match(head):
        return Refused(*_ROOTS["html"])
    return None


def wrong_root(root: etree._Element) -> Refused:
    """The refusal for well-formed XML that is no score."""
    name = etree.QName(root)
    said = f"the file begins with <{shown(name.localname)}>"
    if name.namespace:
        # The same names in a namespace are another vocabulary: MusicXML has none.
        said = f"{said} of the namespace {shown(name.namespace)}"
        return Refused(f"{said}, which is not MusicXML", EXPORT)
    return Refused(*_ROOTS.get(name.localname, (f"{said}, which is not MusicXML", EXPORT)))


def broken_xml(data: bytes, error: etree.XMLSyntaxError, lines_before: int = 0) -> Refused:
    """The refusal for XML that the parser stopped at.

    Args:
        data: what was parsed.
        error: what the parser said.
        lines_before: lines of the file before those bytes.

    Raises:
        MemoryError: there was not enough for the parser.
    """
    codes = etree.ErrorTypes
    if error.code == codes.ERR_NO_MEMORY:
        raise MemoryError
    said = error.msg or ""
    place = f"line {(error.lineno or 1) + lines_before}"
    no_markup = error.code in {codes.ERR_DOCUMENT_EMPTY, codes.ERR_DOCUMENT_END}
    if no_markup or b"<" not in data[:_HEAD_BYTES]:
        return Refused("this is not MusicXML, nor XML of any kind", EXPORT)
    if "depth" in said.lower():
        return Refused("elements are nested too deeply for a score", EXPORT_AGAIN, place=place)
    if "amplification" in said or error.code == codes.ERR_ENTITY_LOOP:
        # The line is counted inside the entity, so it would say nothing.
        what = "its entities multiply one another and are not expanded"
        return Refused(what, "put the text itself in their place")
    undefined = _UNDEFINED.search(said)
    if undefined:
        what = f'the entity "{shown(undefined[1])}" is not defined in this file'
        what = f"{what}, and nothing is fetched"
        return Refused(what, "put the text itself in its place", place=place)
    return Refused(_what_broke(data, error), EXPORT_AGAIN, place=place)


def _what_broke(data: bytes, error: etree.XMLSyntaxError) -> str:
    codes = etree.ErrorTypes
    if error.code in {codes.ERR_UNSUPPORTED_ENCODING, codes.ERR_UNKNOWN_ENCODING}:
        return "the encoding this XML declares is not known"
    if error.code in {codes.ERR_INVALID_ENCODING, codes.I18N_CONV_FAILED}:
        return "these bytes are not in the encoding this XML declares"
    if _breaks_off(data, error):
        return "the file breaks off here"
    return "the XML is damaged here"


def _breaks_off(data: bytes, error: etree.XMLSyntaxError) -> bool:
    """True when a score's XML was sound up to its last line and its root is never closed."""
    # Without the NULs a UTF-16 text of ASCII letters reads like the 8-bit one.
    head = data[:_END_BYTES].replace(b"\0", b"")
    tail = data[-_END_BYTES:].replace(b"\0", b"")
    unclosed = b"<score-" in head and not _CLOSED.search(tail)
    return unclosed and (error.lineno or 1) > data.count(b"\n")
