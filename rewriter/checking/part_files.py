"""The part files a score is held against: read, those of other scores left aside."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from rewriter.musicxml.opening import SUFFIXES
from rewriter.problems import Refused
from rewriter.scores.score import read_score

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.scores.score import Score

    Given = str | os.PathLike[str] | Sequence[str | os.PathLike[str] | bytes]


class PartFile(NamedTuple):
    """One file.

    Attributes:
        name: of the file, without its folder.
        score: what is in it; None where it cannot be read.
        fault: why it cannot; else empty.
    """

    name: str
    score: Score | None
    fault: str = ""


class PartFiles(NamedTuple):
    """The files a score is held against.

    Attributes:
        stem: what the names of the score's own parts begin with.
        files: by name, or as they were given.
        where: the folder they are in, for people; empty where they were given one by one.
    """

    stem: str
    files: tuple[PartFile, ...]
    where: str = ""


def read_part_files(given: Given, stem: str, score: Path | None = None) -> PartFiles:
    """Read the parts a score is to be held against.

    Args:
        given: a folder, of which the files directly in it count; or files, as paths or bytes.
        stem: what the names of the score's own parts begin with.
        score: its file, which is no part if it lies among them; None for bytes.

    Raises:
        Refused: there is no such folder, or nothing in it.
    """
    if not isinstance(given, (str, os.PathLike)):
        files = [_read(one, f"parts[{at}]") for at, one in enumerate(given)]
        return PartFiles(stem, tuple(files))
    folder = Path(given)
    paths = [path for path in _in_folder(folder) if not _is_same(path, score)]
    if not paths:
        remedy = f"name the folder they were written to; parts end in {', '.join(SUFFIXES)}"
        raise Refused("no part is in this folder", remedy, file=str(folder))
    return PartFiles(stem, tuple(_read(path) for path in paths), str(folder))


def _in_folder(folder: Path) -> Iterator[Path]:
    try:
        inside = sorted(folder.iterdir())
    except FileNotFoundError:
        raise Refused("there is no such folder", "look at its name", file=str(folder)) from None
    except NotADirectoryError:
        raise Refused("this is no folder", "name the one it is in", file=str(folder)) from None
    except OSError as fault:
        reason = (fault.strerror or "").lower()
        what = f"this folder cannot be read ({reason})"
        raise Refused(what, "look at its name", file=str(folder)) from None
    for path in inside:
        shown = not path.name.startswith(".")
        if shown and path.name.lower().endswith(SUFFIXES) and path.is_file():
            yield path


def _is_same(path: Path, score: Path | None) -> bool:
    return score is not None and score.exists() and path.samefile(score)


def _read(source: str | os.PathLike[str] | bytes, unnamed: str = "") -> PartFile:
    name = unnamed if isinstance(source, bytes) else Path(source).name
    try:
        return PartFile(name, read_score(source, unnamed=name))
    except Refused as refusal:
        return PartFile(name, None, refusal.what)
