"""Saving a score: the right container, all or nothing, never over somebody else's work."""

from __future__ import annotations

import hashlib
import os
import re
import stat
from pathlib import Path
from typing import TYPE_CHECKING

from rewriter.musicxml.containers import (
    MOST_BYTES,
    is_zip,
    packed_by_us,
    unzip_score,
    write_musicxml_zip,
)
from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Collection

    from rewriter.musicxml.together import Change, Run

__all__ = [
    "PLACEHOLDER",
    "check_target",
    "digest_said",
    "has_digest",
    "in_container",
    "is_untouched",
    "save",
    "stage_score",
    "stamp",
    "stamped_again",
    "write_musicxml_zip",
]

PLACEHOLDER = "0" * 64
"""What the writer puts into the ``content-digest`` field for :func:`stamp` to fill in."""

SUFFIXES = (".musicxml", ".xml", ".mxl")

ANOTHER = "name another file with -o"

_BEFORE = b'<miscellaneous-field name="content-digest">'
_AFTER = b"</miscellaneous-field>"
_FIELD = re.compile(_BEFORE + rb"([0-9a-f]{64})" + _AFTER)
_MUSIC = b"<part-list"
"""What of the score's own stands before it; behind it a field of this name says nothing."""


def stamp(*pieces: bytes) -> bytes:
    """Fill the digest of a score into its ``content-digest`` field.

    Args:
        pieces: of MusicXML in UTF-8, in order. One holds, whole, the only
            ``<miscellaneous-field name="content-digest">`` above the part list, with
            :data:`PLACEHOLDER`.

    Returns:
        The pieces in one, the placeholder replaced by the SHA-256 of the bytes that had it.

    Raises:
        ValueError: no such field, or more than one.
    """
    digest = hashlib.sha256()
    fields: list[tuple[int, re.Match[bytes]]] = []
    above = True
    for at, piece in enumerate(pieces):
        digest.update(piece)
        if above:
            fields += [(at, field) for field in _fields_above(piece)]
            above = _MUSIC not in piece
    if len(fields) != 1 or fields[0][1][1] != PLACEHOLDER.encode():
        raise ValueError("exactly one content-digest field with the placeholder is needed")
    (at, field), said = fields[0], digest.hexdigest().encode()
    filled = field.string[: field.start(1)] + said + field.string[field.end(1) :]
    return b"".join((*pieces[:at], filled, *pieces[at + 1 :]))  # the score is copied once


def stamped_again(score: bytes) -> bytes:
    """A score of the tool's own that has changed, with the digest it has now.

    Args:
        score: MusicXML in UTF-8, not zipped; as it is where it says no digest, or several.
    """
    fields = _fields_above(score)
    if len(fields) != 1:
        return score
    start, stop = fields[0].span(1)
    return stamp(score[:start] + PLACEHOLDER.encode() + score[stop:])


def is_untouched(data: bytes) -> bool:
    """True when a file's bytes, zipped or plain, are the tool's own output and nothing else."""
    if not is_zip(data):
        return _digest_holds(data)
    try:
        return packed_by_us(data) and _digest_holds(unzip_score(data))
    except Refused:
        return False


def _digest_holds(score: bytes) -> bool:
    fields = _fields_above(score)
    if len(fields) != 1:
        return False
    (field,) = fields
    digest = hashlib.sha256(score[: field.start(1)])
    digest.update(PLACEHOLDER.encode())
    digest.update(memoryview(score)[field.end(1) :])
    return digest.hexdigest().encode() == field[1]


def _fields_above(score: bytes) -> list[re.Match[bytes]]:
    """Fields of the digest in what stands above the part list; in all where there is none."""
    end = score.find(_MUSIC)
    return list(_FIELD.finditer(score, 0, len(score) if end < 0 else end))


def check_target(target: Path, *, force: bool = False, inputs: Collection[Path] = ()) -> None:
    """Refuse a place that must not or cannot be written.

    To be called for every output before any work is done, so that either all or none are
    written; :func:`save` calls it again.

    Args:
        target: the output as the user named it.
        force: replace a file that is not the tool's own last output.
        inputs: files that are being read; they are never replaced, by whatever name.

    Raises:
        Refused: with the output named.
    """
    name = str(target)
    if target.suffix.lower() not in SUFFIXES:
        remedy = "let it end in .musicxml, .xml or .mxl"
        raise Refused("no score has such a name", remedy, file=name)
    try:
        _check_folder(_real(target).parent)
        _check_existing(target, inputs, force=force)
    except Refused as refused:
        raise refused.within(name) from None
    except (OSError, ValueError) as error:
        from rewriter.musicxml.together import cannot_write

        raise cannot_write(error).within(name) from None


def in_container(data: bytes, target: Path) -> bytes:
    """A score zipped or not, as the name of its file asks for.

    Args:
        data: MusicXML, or a zip with it; kept as it is where it need not change.
        target: ends in ``.mxl`` for a zip.

    Raises:
        Refused: the zip holds no score.
    """
    if target.suffix.lower() == ".mxl":
        return data if is_zip(data) else write_musicxml_zip(data, inner_name(target))
    return unzip_score(data) if is_zip(data) else data


def _real(target: Path) -> Path:
    """Where the bytes go: a link stays a link, what it points to is replaced."""
    return Path(os.path.realpath(target))


def _check_folder(folder: Path) -> None:
    if not folder.exists():
        raise Refused(f'there is no folder "{folder.name}" to write it in', "make it first")
    if not folder.is_dir():
        raise Refused(f'"{folder.name}" is a file, not a folder', ANOTHER)
    if not os.access(folder, os.W_OK | os.X_OK):
        raise Refused("nothing may be written in this folder", ANOTHER)


def _check_existing(target: Path, inputs: Collection[Path], *, force: bool) -> None:
    try:
        status = target.stat()
    except FileNotFoundError:
        return
    if stat.S_ISDIR(status.st_mode):
        raise Refused("this is a folder", ANOTHER)
    if not stat.S_ISREG(status.st_mode):
        raise Refused("this is a device, not a file", ANOTHER)
    if any(path.exists() and path.samefile(target) for path in inputs):
        raise Refused("this is an input and is never written over", ANOTHER)
    if force:
        return
    if not os.access(target, os.W_OK):
        raise Refused("this file is write-protected", f"{ANOTHER}, or replace it with --force")
    _require_untouched(target, status.st_size)


def _require_untouched(target: Path, size: int) -> None:
    data = target.read_bytes() if size <= MOST_BYTES else b""
    if is_untouched(data):
        return
    what = "changed since the tool wrote it" if has_digest(data) else "not written by this tool"
    raise Refused(what, f"{ANOTHER}, or replace it with --force")


def has_digest(data: bytes) -> bool:
    """True when a file once came from the tool, whatever became of it."""
    try:
        score = unzip_score(data) if is_zip(data) else data
    except Refused:
        return False
    return bool(_fields_above(score))


def digest_said(score: bytes) -> str:
    """The digest a score says it was written with, whatever became of it; empty for none.

    Args:
        score: MusicXML, not zipped.
    """
    fields = _fields_above(score)
    return fields[0][1].decode() if len(fields) == 1 else ""


def save(
    data: bytes, target: Path, *, force: bool = False, inputs: Collection[Path] = ()
) -> None:
    """Write a stamped score to a file: all of it, or nothing.

    Args:
        data: MusicXML.
        target: its suffix decides the container: .mxl is zipped, .musicxml and .xml plain.
        force: replace a file that is not the tool's own last output.
        inputs: files that are being read; they are never replaced.

    Raises:
        Refused: the place must not or cannot be written; what was there is as it was.
    """
    from rewriter.musicxml.together import Together

    check_target(target, force=force, inputs=inputs)
    with Together([_real(target).parent]) as together:
        change = stage_score(together.run, data, target, force=force, inputs=inputs)
        together.put_in_place([change])


def stage_score(
    run: Run,
    data: bytes,
    target: Path,
    *,
    force: bool = False,
    inputs: Collection[Path] = (),
) -> Change:
    """Write a stamped score beside its place, to appear with the other files of a run.

    Args:
        run: that writes it.
        data: as for :func:`save`, which has the other arguments too.
        target: likewise.
        force: likewise.
        inputs: likewise.

    Raises:
        Refused: the place must not or cannot be written; nothing is left of it.
    """
    from rewriter.musicxml.together import cannot_write

    if run.writes or target.parent.is_dir():
        check_target(target, force=force, inputs=inputs)
    check_size(data, target)
    if target.suffix.lower() == ".mxl":
        data = write_musicxml_zip(data, inner_name(target))
    try:
        return run.stage(data, target)
    except OSError as error:
        raise cannot_write(error).within(str(target)) from None


def check_size(data: bytes, target: Path) -> None:
    """Refuse a score that is larger than any that is read, this tool's next run included."""
    if len(data) > MOST_BYTES:
        raise Refused(
            f"the score would have {-(-len(data) >> 20)} MB, more than the {MOST_BYTES >> 20} "
            "that can be read again",
            "take fewer bars or fewer sections at a time",
            file=str(target),
        )


def inner_name(target: Path) -> str:
    """Name of the score inside the zip: the outer one, where XML and zip can hold it."""
    stem = target.stem if target.stem.isprintable() else "score"
    return f"{stem}.musicxml"
