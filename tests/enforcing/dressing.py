"""The same score in other dress: line ends, tabs, comments, encodings, zips.

What programs and people do to a file that changes nothing of the music, one function each.
"""

import codecs
import io
import re
import zipfile
from collections.abc import Callable

DECLARATION = re.compile(rb"^<\?xml[^>]*\?>\s*")
_UTF_8 = b'<?xml version="1.0" encoding="UTF-8"?>\n'
_BAR_CHILD = re.compile(rb">(\s*)<(note|direction|attributes|backup|harmony|barline)\b")


def lines(data: bytes) -> bytes:
    """An element a line, indented by two spaces."""
    from lxml import etree

    root = etree.fromstring(data, etree.XMLParser(remove_blank_text=True, huge_tree=True))
    etree.indent(root)
    doctype = root.getroottree().docinfo.doctype.encode()
    return _UTF_8 + (doctype + b"\n" if doctype else b"") + etree.tostring(root) + b"\n"


def one_row(data: bytes) -> bytes:
    """No white space between elements at all."""
    from lxml import etree

    root = etree.fromstring(data, etree.XMLParser(remove_blank_text=True, huge_tree=True))
    return _UTF_8 + etree.tostring(root)


def crlf(data: bytes) -> bytes:
    """Lines end as in DOS."""
    return lines(data).replace(b"\n", b"\r\n")


def tabs(data: bytes) -> bytes:
    """Indented by tabs."""
    return re.sub(rb"(?m)^(?:  )+", lambda m: b"\t" * (len(m[0]) // 2), lines(data))


def asides(data: bytes) -> bytes:
    """Comments and processing instructions before every third child of a bar, and in notes."""
    seen = [0]

    def put(match: re.Match[bytes]) -> bytes:
        seen[0] += 1
        said = (b"<!-- <note> & </measure> -->", b"<?editor keep <note>?>", b"")[seen[0] % 3]
        return b">" + match[1] + said + b"<" + match[2]

    dressed = _BAR_CHILD.sub(put, lines(data))
    return dressed.replace(b"<duration>", b"<!-- how long --><duration>")


def utf_16(data: bytes) -> bytes:
    """In UTF-16, with a byte order mark."""
    text = DECLARATION.sub(b"", lines(data)).decode()
    declared = '<?xml version="1.0" encoding="UTF-16"?>\n'
    return codecs.BOM_UTF16_LE + (declared + text).encode("utf-16-le")


def bom(data: bytes) -> bytes:
    """In UTF-8, with a byte order mark."""
    return codecs.BOM_UTF8 + lines(data)


def latin_1(data: bytes) -> bytes:
    """In Latin 1; letters it lacks as references."""
    text = DECLARATION.sub(b"", lines(data)).decode()
    declared = '<?xml version="1.0" encoding="ISO-8859-1"?>\n'
    return (declared + text).encode("iso-8859-1", "xmlcharrefreplace")


def zipped(data: bytes) -> bytes:
    """Zipped beside a picture and a second score, in that order, some of it stored."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.recordare.musicxml", zipfile.ZIP_STORED)
        archive.writestr("cover.png", b"\x89PNG not really", zipfile.ZIP_STORED)
        archive.writestr(
            "META-INF/container.xml",
            '<container><rootfiles><rootfile full-path="in/score.xml"/>'
            '<rootfile full-path="cover.png" media-type="image/png"/></rootfiles></container>',
        )
        archive.writestr("in/score.xml", lines(data))
        archive.writestr("in/part.xml", b"<score-partwise/>")
    return made.getvalue()


def by_bars(data: bytes) -> bytes:
    """Sorted by bars."""
    from lxml import etree

    root = etree.fromstring(one_row(data))
    parts = root.findall("part")
    music = [part.findall("measure") for part in parts]
    if len({len(own) for own in music}) != 1:
        return lines(data)
    bars = []
    for column in zip(*music, strict=True):
        bar = etree.Element("measure", column[0].attrib)
        for part, own in zip(parts, column, strict=True):
            etree.SubElement(bar, "part", part.attrib).extend(own)
        bars.append(bar)
    for part in parts:
        root.remove(part)
    root.extend(bars)
    return lines(etree.tostring(root).replace(b"score-partwise", b"score-timewise"))


DRESSES: dict[str, Callable[[bytes], bytes]] = {
    one.__name__: one
    for one in (lines, one_row, crlf, tabs, asides, utf_16, bom, latin_1, zipped, by_bars)
}
