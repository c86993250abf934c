"""Finished scores as they are named: files, patterns, folders with all that is below them."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

from rewriter.cli.streams import STREAM
from rewriter.cli.wildcards import but_copies, files_of_pattern
from rewriter.musicxml.copies import FOLDER
from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

_ENDS: Final = (".musicxml", ".xml", ".mxl")


def score_files(named: Sequence[Path]) -> list[Path]:
    """Files to look at, each once; of a folder all scores below it, by name.

    Hidden folders are left out, and those of copies that the tool keeps.

    Args:
        named: on the command line; ``-`` is stdin.

    Raises:
        Refused: there is no score in a folder, or nothing matches a pattern.
    """
    files = list(dict.fromkeys(file for path in named for file in _files(path)))
    return list(but_copies(files))


def _files(path: Path) -> Iterator[Path]:
    if path != STREAM and path.is_dir():
        found = sorted(_below(path))
        if not found:
            said = ", ".join(_ENDS)
            raise Refused("no score is in this folder", f"scores end in {said}", file=str(path))
        yield from found
    else:
        yield from files_of_pattern(path)


def _below(folder: Path) -> Iterator[Path]:
    for place, folders, files in os.walk(folder):
        folders[:] = [one for one in folders if not one.startswith(".") and one != FOLDER]
        for file in files:
            if not file.startswith(".") and file.lower().endswith(_ENDS):
                yield Path(place) / file
