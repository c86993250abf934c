"""Compressed MusicXML (.mxl): the score inside a zip, packed and unpacked in memory.

Source: W3C MusicXML 4.0, "Compressed .mxl files": the first entry is ``mimetype``, stored
without an extra field; ``META-INF/container.xml`` names the score in its first
``<rootfile>``. Files from before version 3.1 have no ``mimetype``.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import unicodedata
from typing import TYPE_CHECKING

from lxml import etree

from rewriter.musicxml.faults import EXPORT, EXPORT_AGAIN, shown
from rewriter.musicxml.parsing import safe_parser
from rewriter.problems import Refused

if TYPE_CHECKING:
    import zipfile
    from collections.abc import Iterator

MOST_BYTES = 256 * 2**20
"""The largest file, and the largest score inside a zip, that is read."""

MEDIA_TYPE = b"application/vnd.recordare.musicxml"
CONTAINER = "META-INF/container.xml"

_MOST_ENTRIES = 1000  # a score, its parts and their pictures stay far below
_MOST_CONTAINER_BYTES = 2**20
_FREE_BYTES = 16 * 2**20  # up to here no ratio is suspicious
_MOST_RATIO = 500  # deflate ends at 1032; equal bars come to about 290
_MAGICS = (b"PK\x03\x04", b"PK\x05\x06", b"PK\x07\x08")
_ENTRY_MARK = b"PK\x01\x02"  # begins each entry of a zip's directory
_DIGEST = 64  # figures of a SHA-256
_ENCRYPTED = 0x1
_NAME_IN_UTF8 = 0x800


def is_zip(data: bytes) -> bool:
    """True when the bytes begin as a zip does."""
    return data.startswith(_MAGICS)


def unzip_score(data: bytes) -> bytes:
    """The MusicXML inside a compressed score.

    Args:
        data: the zip; nothing of it is ever written to disk.

    Raises:
        Refused: truncated, damaged, encrypted, too large, or without a score.
    """
    with _archive(data) as archive:
        return _score_in(archive, len(data))


@contextlib.contextmanager
def _archive(data: bytes) -> Iterator[zipfile.ZipFile]:
    """A zip opened for reading; whatever turns out to be wrong with it becomes a refusal."""
    # zipfile costs a tenth of the start-up and is needed for zips alone.
    import struct
    import zipfile
    import zlib

    if data.count(_ENTRY_MARK) > _MOST_ENTRIES:
        raise Refused(f"the zip holds more than {_MOST_ENTRIES} entries", EXPORT)
    damaged = (
        zipfile.BadZipFile,
        zlib.error,
        struct.error,
        EOFError,
        RuntimeError,
        ValueError,
        OSError,
    )
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            yield archive
    except damaged:
        raise Refused("the zip is damaged or breaks off", EXPORT_AGAIN) from None


def packed_again(packed: bytes, score: bytes) -> bytes:
    """A compressed score with another score in it, its other entries as they are.

    Args:
        packed: the zip.
        score: MusicXML for the place of the one in it.

    Raises:
        Refused: the zip cannot be read, or one of its entries cannot be packed again.
    """
    import copy
    import zipfile

    again = io.BytesIO()
    with _archive(packed) as archive, zipfile.ZipFile(again, "w") as written:
        written.comment = archive.comment
        changed = _score_entry(archive, len(packed))
        for info in archive.infolist():
            data = score if info is changed else _read(archive, info, MOST_BYTES, len(packed))
            entry = copy.copy(info)
            entry.filename = _as_meant(info)
            written.writestr(entry, data)
    return again.getvalue()


def _score_in(archive: zipfile.ZipFile, packed: int) -> bytes:
    return _read(archive, _score_entry(archive, packed), MOST_BYTES, packed)


def _score_entry(archive: zipfile.ZipFile, packed: int) -> zipfile.ZipInfo:
    entries = {_name(info): info for info in archive.infolist()}
    container = entries.get(CONTAINER)
    if container is None:
        name = _first_score(list(entries))
    else:
        name = _first_rootfile(_read(archive, container, _MOST_CONTAINER_BYTES, packed))
        if _plain(name) not in entries:
            what = f'the container names "{shown(name)}", which is not in the zip'
            raise Refused(what, EXPORT_AGAIN)
    return entries[_plain(name)]


def _first_score(names: list[str]) -> str:
    for name in names:
        hidden = name.startswith(("META-INF/", "__MACOSX/"))
        if name.lower().endswith((".musicxml", ".xml")) and not hidden:
            return name
    raise Refused("this is a zip without a MusicXML score in it", EXPORT)


def _first_rootfile(container: bytes) -> str:
    try:
        root = etree.fromstring(container, safe_parser())
    except etree.XMLSyntaxError:
        raise Refused("the list of contents in the zip is damaged", EXPORT_AGAIN) from None
    for rootfile in root.iter("{*}rootfile"):
        return rootfile.get("full-path", "")
    raise Refused("the list of contents in the zip names no score", EXPORT_AGAIN)


def _read(archive: zipfile.ZipFile, info: zipfile.ZipInfo, most: int, packed: int) -> bytes:
    """One entry, inflated no further than the limits allow, whatever size it declares."""
    import zipfile

    name = shown(_name(info))
    if info.flag_bits & _ENCRYPTED:
        raise Refused(f"{name} in the zip is encrypted", "save it without a password")
    if info.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
        raise Refused(
            f"{name} in the zip is packed in a way MusicXML does not use", EXPORT_AGAIN
        )
    most = min(most, max(_FREE_BYTES, packed * _MOST_RATIO))
    with archive.open(info) as stream:
        data = stream.read(most + 1)
    if len(data) > most:
        raise Refused(f"{name} in the zip unpacks to more than {most >> 20} MB", EXPORT)
    if len(data) != info.file_size:
        raise Refused(f"{name} in the zip breaks off", EXPORT_AGAIN)
    return data


def _name(info: zipfile.ZipInfo) -> str:
    return _plain(_as_meant(info))


def _as_meant(info: zipfile.ZipInfo) -> str:
    """The name as its writer meant it: some write UTF-8 without saying so."""
    name = info.filename
    if not info.flag_bits & _NAME_IN_UTF8:
        with contextlib.suppress(UnicodeError):
            name = name.encode("cp437").decode()
    return name


def _plain(name: str) -> str:
    return unicodedata.normalize("NFC", name)


def write_musicxml_zip(data: bytes, inner_name: str) -> bytes:
    """Pack a score as compressed MusicXML; the same input gives the same bytes.

    Args:
        data: MusicXML.
        inner_name: name of the score inside, such as ``lantern.musicxml``.

    Returns:
        A zip whose comment is the SHA-256 of all bytes before it.
    """
    from rewriter.musicxml.packing import Entry, packed

    return _sealed(
        packed(
            Entry("mimetype", MEDIA_TYPE, deflated=False),
            Entry(CONTAINER, _container_for(inner_name)),
            Entry(inner_name, data),
        )
    )


def _sealed(packed: bytes) -> bytes:
    """A zip with the digest of all that is before it as its comment.

    Source: PKWARE APPNOTE 6.3.10, 4.3.16: the comment is the end of a zip, and the two bytes
    before it are its length.
    """
    packed = packed[:-2] + _DIGEST.to_bytes(2, "little")
    return packed + hashlib.sha256(packed).hexdigest().encode()


def packed_by_us(data: bytes) -> bool:
    """True when a zip is, byte for byte, what :func:`write_musicxml_zip` once made."""
    packed, digest = data[:-_DIGEST], data[-_DIGEST:]
    return hashlib.sha256(packed).hexdigest().encode() == digest


def _container_for(inner_name: str) -> bytes:
    container = etree.Element("container")
    rootfiles = etree.SubElement(container, "rootfiles")
    media_type = f"{MEDIA_TYPE.decode()}+xml"
    etree.SubElement(rootfiles, "rootfile", {"full-path": inner_name, "media-type": media_type})
    return etree.tostring(container, encoding="UTF-8", xml_declaration=True, pretty_print=True)
