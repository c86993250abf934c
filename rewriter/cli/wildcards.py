"""Sketches as they are named: patterns become files, and what is a rule is told."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.copies import is_copy
from rewriter.problems import Refused
from rewriter.rulefiles.shelf import ONE_OF, is_file_name, mistaken, path_of_name

_PLAIN: Final = re.compile(r".*\.(?:musicxml|xml|mxl)", re.IGNORECASE)
_STACK: Final = re.compile(r"\s[/+]\s")

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
        paths: as named; what is there as a file is no pattern. Copies are left out.

    Raises:
        Refused: nothing matches a pattern, or a rule is named that belongs to an option.
    """
    for path in paths:
        _refuse_rule(str(path))
    if any(map(_is_pattern, paths)):
        paths = list(dict.fromkeys(file for path in paths for file in files_of_pattern(path)))
    return tuple(but_copies(paths))


def but_copies(paths: Sequence[Path]) -> Sequence[Path]:
    """Files without copies of what was made, which patterns of the shell find too.

    Args:
        paths: files; who names nothing but copies means them.
    """
    return [path for path in paths if not is_copy(path)] or paths


def _refuse_rule(said: str) -> None:
    """Refuse a stack, a rule file or a rule's name where a sketch is wanted."""
    plain = _PLAIN.fullmatch(said) is not None
    if plain or (Path(said).is_file() and not is_file_name(said)):
        return
    if is_file_name(said):
        what, remedy = "this is a rule file, not a sketch", "name it with --layout or --plan"
        raise Refused(what, remedy, file=said)
    if Path(said).is_file():
        return
    if _STACK.search(said):
        raise Refused(f'"{said}" is a stack, not a sketch', "name it with --layout")
    for kind in ("layouts", "plans", "ensembles"):
        if path_of_name(kind, said):
            raise mistaken(f'"{said}"', ONE_OF[kind], "sketch")


def _is_pattern(path: Path) -> bool:
    return bool(set("*?[") & set(str(path))) and not path.exists()


def files_of_pattern(path: Path) -> Iterator[Path]:
    """The files a pattern means; a path that is none means itself.

    Raises:
        Refused: nothing matches it.
    """
    if not _is_pattern(path):
        yield path
        return
    from glob import glob

    found = sorted(glob(str(path)))  # noqa: PTH207 - its patterns are those of a shell
    if not found:
        raise Refused("no file matches this pattern", "look at its folder", file=str(path))
    yield from map(Path, found)
