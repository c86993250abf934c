"""A zip written by hand, in memory: importing ``zipfile`` takes longer than a short score.

Source: PKWARE APPNOTE 6.3.10, 4.3.7 (local header), 4.3.12 (directory), 4.3.16 (its end); all
figures are little-endian.
"""

from __future__ import annotations

import zlib
from typing import Final, NamedTuple

_VERSION: Final = 20  # of the format: folders, deflated entries
_UNIX: Final = 3
_NAME_IN_UTF8: Final = 0x800
_DEFLATED: Final = 8
_DATE: Final = 1 << 5 | 1  # 1 January 1980, the earliest a zip can say; the time is 0
_FOR_ALL_TO_READ: Final = 0o644 << 16
_LEVEL: Final = 6


class Entry(NamedTuple):
    """A file in a zip.

    Attributes:
        name: with its folders.
        data: the whole of it.
        deflated: False for one that is stored as it is.
    """

    name: str
    data: bytes
    deflated: bool = True


def packed(*entries: Entry) -> bytes:
    """A zip without a comment; the same entries give the same bytes.

    Args:
        entries: in their order; together far below 4 GB.
    """
    pieces: list[bytes] = []
    directory: list[bytes] = []
    at = 0
    for entry in entries:
        body = _deflated(entry.data) if entry.deflated else entry.data
        name = entry.name.encode()
        what = b"".join((
            _figures(2, _VERSION, 0 if entry.name.isascii() else _NAME_IN_UTF8),
            _figures(2, _DEFLATED if entry.deflated else 0, 0, _DATE),
            _figures(4, zlib.crc32(entry.data), len(body), len(entry.data)),
            _figures(2, len(name), 0),
        ))  # fmt: skip
        directory += (
            b"PK\x01\x02",
            bytes((_VERSION, _UNIX)),
            what,
            _figures(2, 0, 0, 0),
            _figures(4, _FOR_ALL_TO_READ, at),
            name,
        )
        local = b"".join((b"PK\x03\x04", what, name))
        pieces += (local, body)
        at += len(local) + len(body)
    listed = b"".join(directory)
    end = _figures(2, 0, 0, len(entries), len(entries)) + _figures(4, len(listed), at)
    return b"".join((*pieces, listed, b"PK\x05\x06", end, _figures(2, 0)))


def _deflated(data: bytes) -> bytes:
    press = zlib.compressobj(_LEVEL, zlib.DEFLATED, -zlib.MAX_WBITS)
    return press.compress(data) + press.flush()


def _figures(size: int, *numbers: int) -> bytes:
    return b"".join(number.to_bytes(size, "little") for number in numbers)
