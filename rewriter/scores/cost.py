"""What reading a score costs in memory, known before it is paid for."""

from typing import Final

from rewriter.problems import Refused

MOST_MEMORY: Final = 2 * 2**30
"""Bytes that one score may take."""

_OF_A_TAG: Final = 150
_BYTES_A_TAG: Final = 9
"""Bytes from one tag to the next in music without indentation, which has the most."""
_OF_A_BYTE: Final = 4
_OF_A_BYTE_IN_A_LINE: Final = 3


def memory_of(data: bytes, lines: int = 0) -> int:
    """Bytes of memory that a score takes while it is read and lines are made of it, about.

    The tree grows with the tags, everything else with the text. What real scores take is two
    thirds to all of this; a part that is divided throughout takes a tenth more.

    Args:
        data: MusicXML, unzipped.
        lines: how many are made of it, at the most at a time; 0 where it is only read.

    Source: measured as the largest resident size of a process, on scores of 4 to 16 MB, with
    and without indentation, of plain notes and of notes with many signs, for 1 to 6 lines.
    """
    tags = data.count(b"<")
    return tags * _OF_A_TAG + len(data) * (_OF_A_BYTE + lines * _OF_A_BYTE_IN_A_LINE)


def memory_of_size(size: int) -> int:
    """Bytes of memory that a score takes of which only the size is known, for five lines.

    Never more than :data:`MOST_MEMORY`, since what would take more is refused.

    Args:
        size: bytes, unzipped.
    """
    lines = 5  # as many sections as there usually are
    each = _OF_A_TAG // _BYTES_A_TAG + _OF_A_BYTE + lines * _OF_A_BYTE_IN_A_LINE
    return min(size * each, MOST_MEMORY)


def require_memory(data: bytes, lines: int = 0, *, unpacked: bool = False) -> None:
    """Refuse a score that would take more than it may, with numbers.

    Args:
        data: MusicXML, unzipped.
        lines: as for :func:`memory_of`.
        unpacked: True where it came out of a zip, whose size is another.

    Raises:
        Refused: it would take more than :data:`MOST_MEMORY`.
    """
    each = _OF_A_TAG + _OF_A_BYTE + lines * _OF_A_BYTE_IN_A_LINE
    if len(data) * each <= MOST_MEMORY:  # whatever stands in it
        return
    needed = memory_of(data, lines)
    if needed <= MOST_MEMORY:
        return
    fewer = _lines_that_fit(data)
    remedy = "split it into movements"
    if lines and fewer:
        remedy = f"{remedy}, or make {fewer} line{'s' if fewer > 1 else ''} at a time"
    size = f"{_in_megabytes(len(data))} MB{' when unpacked' if unpacked else ''}"
    of = f" for {lines} line{'s' if lines > 1 else ''}" if lines else ""
    raise Refused(
        f"this score of {size} would take about {_in_gigabytes(needed)} GB of memory{of}, "
        f"more than the {_in_gigabytes(MOST_MEMORY)} GB it may",
        remedy,
    )


def _lines_that_fit(data: bytes) -> int:
    """How many lines can be made of a score; 0 where it can only be read, if that."""
    left = MOST_MEMORY - memory_of(data)
    return max(left // (len(data) * _OF_A_BYTE_IN_A_LINE), 0)


def _in_megabytes(size: int) -> str:
    return str(-(-size // 2**20))


def _in_gigabytes(size: int) -> str:
    """Tenths rounded up, so that what is too much never reads as if it were not."""
    return f"{-(-size * 10 // 2**30) / 10:g}"
