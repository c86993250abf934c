"""Opening a score: a file, bytes or a tree in; one partwise tree out, or one clear line."""

import os
import stat
from pathlib import Path
from typing import Final

import msgspec
from lxml import etree

from rewriter.musicxml.containers import MOST_BYTES, is_zip, unzip_score
from rewriter.musicxml.faults import EXPORT
from rewriter.musicxml.parsing import parse_score
from rewriter.problems import Refused

_PIECE = 2**20

UNNAMED = "sketch"
"""What bytes and trees are called, having no file name."""


SUFFIXES: Final = (".musicxml", ".xml", ".mxl")
"""What the names of scores end in."""
_LONGEST_NAME: Final = 100
_NEAR: Final = 0.8  # of a name with its ending, which is the same in most


class Source(msgspec.Struct, frozen=True):
    """The bytes of a score, whatever they say.

    Attributes:
        data: of the file, unzipped; of a tree, as lxml writes it in UTF-8.
        name: the file as the user named it; a word for bytes and trees.
        packed: the zip the score came out of; empty where it came out of none.
    """

    data: bytes
    name: str
    packed: bytes = b""


def read_source(
    source: str | os.PathLike[str] | bytes | etree._Element | etree._ElementTree | Source,
    *,
    unnamed: str = UNNAMED,
) -> Source:
    """The bytes of a score, unzipped.

    Args:
        source: a path; the bytes of a file; a tree or its root; or what has been read.
        unnamed: what bytes and trees are called.

    Raises:
        Refused: there is nothing that can be read, with the file named.
    """
    if isinstance(source, Source):
        return source
    if isinstance(source, str) and source.lstrip().startswith("<"):
        what = "this is XML, where the name of a file is wanted"
        raise Refused(what, "give XML as bytes", file=unnamed)
    name = os.fspath(source) if isinstance(source, (str, os.PathLike)) else unnamed
    try:
        data = _bytes_of(source)
        return Source(unzip_score(data), name, data) if is_zip(data) else Source(data, name)
    except Refused as refused:
        raise refused.within(name) from None


def partwise_root(data: bytes, name: str, *, comments: bool = False) -> etree._Element:
    """A score as one tree, sorted by parts.

    Args:
        data: unzipped.
        name: of the file, for a refusal.
        comments: keep comments and processing instructions.

    Raises:
        Refused: these bytes are no score, with the file named.
    """
    try:
        root = parse_score(data, comments=comments)
        if root.tag == "score-timewise":
            from rewriter.musicxml.timewise import partwise_from

            root = partwise_from(root)
        _require_bars(root)
    except Refused as refused:
        raise refused.within(name) from None
    return root


def _bytes_of(
    source: str | os.PathLike[str] | bytes | etree._Element | etree._ElementTree,
) -> bytes:
    if isinstance(source, bytes):
        return source
    if isinstance(source, (str, os.PathLike)):
        return _read_file(Path(source))
    if not _is_tree(source):
        what = f"a value of the type {type(source).__name__} is no score"
        raise Refused(what, "give a path, the bytes of a file or an lxml tree")
    # From the top of the document, as only its document type knows the entities in it.
    if etree.iselement(source) and source.getparent() is None:
        source = source.getroottree()
    data: bytes | None = etree.tostring(source, encoding="UTF-8", with_tail=False)
    if data is None:  # what lxml makes of a tree without a root
        raise Refused("the tree is empty", EXPORT)
    return data


def _is_tree(source: object) -> bool:
    return etree.iselement(source) or isinstance(source, etree._ElementTree)  # noqa: SLF001 - lxml has no other name for it


def _read_file(path: Path) -> bytes:
    """The whole file, or a pipe to its end, up to the limit."""
    try:
        status = path.stat()
        kind = status.st_mode
        if stat.S_ISDIR(kind):
            raise Refused("this is a folder", "name the score file in it")
        if not (stat.S_ISREG(kind) or stat.S_ISFIFO(kind)):
            raise Refused("this is a device, not a file", "name a score file")
        with path.open("rb") as file:
            # Room is taken for as much as is asked for, so it is asked for as much as there is.
            pieces = [file.read(min(status.st_size, MOST_BYTES))]
            size = len(pieces[0])
            while size <= MOST_BYTES and (piece := file.read(_PIECE)):
                pieces.append(piece)
                size += len(piece)
    except FileNotFoundError:
        raise Refused("there is no such file", _nearby(path)) from None
    except PermissionError:
        raise Refused("this file may not be read", "change its permissions") from None
    except ValueError:
        raise Refused("no file can have such a name", "look at it") from None
    except OSError as error:
        reason = (error.strerror or "").lower()
        raise Refused(f"this file cannot be read ({reason})", "look at its name") from None
    if size > MOST_BYTES:
        what = f"the file is larger than {MOST_BYTES >> 20} MB"
        raise Refused(what, "split the score into movements")
    return b"".join(pieces)


def _nearby(path: Path) -> str:
    """What to do about a file that is not there: the score beside it that was meant, if any."""
    from difflib import get_close_matches

    beside = path.parent.glob("*") if path.parent.is_dir() else ()
    scores = sorted(one.name for one in beside if one.suffix.lower() in SUFFIXES)
    same = [name for name in scores if Path(name).stem == path.name]
    near = same or get_close_matches(path.name[:_LONGEST_NAME], scores, n=1, cutoff=_NEAR)
    return f"did you mean {path.with_name(near[0])}?" if near else "look at its name and folder"


def _require_bars(root: etree._Element) -> None:
    parts = root.findall("part")
    if not parts:
        raise Refused("the score has no parts", EXPORT)
    if all(part.find("measure") is None for part in parts):
        raise Refused("the score has no bars", EXPORT)
