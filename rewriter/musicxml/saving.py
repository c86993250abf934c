"""Saving a score: the right container, all or nothing, never over somebody else's work."""

from collections.abc import Collection
from pathlib import Path

PLACEHOLDER = "0" * 64
"""What the writer puts into the ``content-digest`` field for :func:`stamp` to fill in."""


def stamp(data: bytes) -> bytes:
    """Fill the digest of the whole bytes into their ``content-digest`` field."""
    raise NotImplementedError


def is_untouched(data: bytes) -> bool:
    """True when a file's content, zipped or plain, is exactly the tool's own output."""
    raise NotImplementedError


def check_target(target: Path, *, force: bool = False, inputs: Collection[Path] = ()) -> None:
    """Refuse a place that must not or cannot be written, before any work is done."""
    raise NotImplementedError


def save(
    data: bytes, target: Path, *, force: bool = False, inputs: Collection[Path] = ()
) -> None:
    """Write a stamped score to a file, all of it or nothing."""
    raise NotImplementedError


def write_musicxml_zip(data: bytes, inner_name: str) -> bytes:
    """Pack a score as compressed MusicXML (.mxl)."""
    raise NotImplementedError
