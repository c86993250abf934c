"""Files worked on one after the other or on all cores; one that fails stops no other."""

from __future__ import annotations

import os
from contextlib import AbstractContextManager, closing, nullcontext
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Iterator, Sequence
    from pathlib import Path

    Piece = TypeVar("Piece")
    Result = TypeVar("Result")

PARALLEL_FROM = 4
"""Files from which on starting more processes is worth its while."""


def do_all(
    work: Callable[[Piece], Result],
    pieces: Sequence[Piece],
    files: Sequence[Path],
    stopped: Callable[[Piece, str], Result],
) -> Generator[Result, None, None]:
    """Results in the order of the pieces, from all cores when there are enough of them.

    Args:
        work: to be done with each piece.
        pieces: that processes can be sent.
        files: the one that each is about, whose size says what it costs.
        stopped: what becomes of a piece whose process died, with what is to be said.
    """
    workers = min(_cores(), len(pieces))
    if len(pieces) < PARALLEL_FROM or workers == 1:
        yield from map(work, pieces)
        return
    from rewriter.cli.memory import taken_by, there_is
    from rewriter.cli.workers import spread

    costs = [taken_by(file) for file in files]
    with closing(spread(work, pieces, workers, costs=costs, most=there_is())) as done:
        for piece, file, result in zip(pieces, files, done, strict=True):
            yield stopped(piece, _stopped(file)) if result is None else result


def _stopped(file: Path) -> str:
    return f"{file}: the system stopped the work, perhaps for want of memory; try it alone"


def _cores() -> int:
    """Cores this process may use, which may be fewer than there are."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def in_order(number: int) -> AbstractContextManager[None]:
    """Where there may be other processes, none outlives this one.

    Args:
        number: of files.
    """
    if number < PARALLEL_FROM:
        return nullcontext()
    from rewriter.cli.workers import ended_in_order

    return ended_in_order()


def with_progress(
    results: Iterator[Result], number: int, doing: str, *, shown: bool
) -> Iterator[Result]:
    """Pass results on; on a terminal, with a bar that is gone when they are all there.

    Args:
        results: as they come.
        number: of them.
        doing: what is said of the work, such as ``expanding``.
        shown: False where nobody looks on.
    """
    if not shown:
        yield from results
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    columns = (TextColumn(doing), BarColumn(), MofNCompleteColumn())
    bar = Progress(
        *columns,
        console=Console(stderr=True),
        auto_refresh=False,  # no second thread beside the processes
        transient=True,
        redirect_stdout=False,
        redirect_stderr=False,
    )
    with bar:
        task = bar.add_task("", total=number)
        for result in results:
            bar.update(task, advance=1, refresh=True)
            yield result
