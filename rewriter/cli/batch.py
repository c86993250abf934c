"""Sketches expanded one after the other or on all cores; one that fails stops no other."""

from __future__ import annotations

import os
from contextlib import closing
from functools import partial
from typing import TYPE_CHECKING

from rewriter.cli.jobs import Outcome, do

if TYPE_CHECKING:
    from collections.abc import Generator, Iterator, Sequence
    from pathlib import Path

    from rewriter.cli.jobs import Job
    from rewriter.musicxml.together import Run

PARALLEL_FROM = 4
"""Sketches from which on starting more processes is worth its while."""


def do_all(run: Run, jobs: Sequence[Job]) -> Generator[Outcome, None, None]:
    """Outcomes in the order of the jobs, from all cores when there are enough jobs."""
    workers = min(_cores(), len(jobs))
    if len(jobs) < PARALLEL_FROM or workers == 1:
        yield from (do(run, job) for job in jobs)
    else:
        yield from _do_in_processes(run, jobs, workers)


def _do_in_processes(run: Run, jobs: Sequence[Job], workers: int) -> Iterator[Outcome]:
    from rewriter.cli.memory import taken_by, there_is
    from rewriter.cli.workers import spread

    costs = [taken_by(job.sketch) for job in jobs]
    with closing(spread(partial(do, run), jobs, workers, costs=costs, most=there_is())) as done:
        for job, outcome in zip(jobs, done, strict=True):
            yield outcome or Outcome(job.sketch, job.target, None, _stopped(job.sketch))


def _stopped(sketch: Path) -> str:
    return f"{sketch}: the system stopped the work, perhaps for want of memory; try it alone"


def _cores() -> int:
    """Cores this process may use, which may be fewer than there are."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def with_progress(
    outcomes: Iterator[Outcome], number: int, *, shown: bool
) -> Iterator[Outcome]:
    """Pass outcomes on; on a terminal, with a bar that is gone when they are all there."""
    if not shown:
        yield from outcomes
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    columns = (TextColumn("expanding"), BarColumn(), MofNCompleteColumn())
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
        for outcome in outcomes:
            bar.update(task, advance=1, refresh=True)
            yield outcome
