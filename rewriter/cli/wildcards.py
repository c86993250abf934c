"""Sketches named by a pattern: ``*.mxl`` becomes the files, where the shell has not done it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    import click


def expand_patterns(
    context: click.Context,  # noqa: ARG001 - as click has it
    param: click.Parameter,  # noqa: ARG001 - as click has it
    paths: Sequence[Path],
) -> tuple[Path, ...]:
    """Files in the place of patterns, each file once.

    Args:
        context: of the command line.
        param: the argument.
        paths: as named; what is there as a file is no pattern.

    Raises:
        Refused: nothing matches a pattern.
    """
    if not any(map(_is_pattern, paths)):
        return tuple(paths)
    return tuple(dict.fromkeys(file for path in paths for file in _files_of(path)))


def _is_pattern(path: Path) -> bool:
    return bool(set("*?[") & set(str(path))) and not path.exists()


def _files_of(path: Path) -> Iterator[Path]:
    if not _is_pattern(path):
        yield path
        return
    from glob import glob

    found = sorted(glob(str(path)))  # noqa: PTH207 - its patterns are those of a shell
    if not found:
        raise Refused("no file matches this pattern", "look at its folder", file=str(path))
    yield from map(Path, found)
