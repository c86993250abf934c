"""Sketches expanded one after the other or on all cores; one that fails stops no other."""

from __future__ import annotations

import os
from contextlib import closing
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Generator, Iterator, Mapping, Sequence
    from pathlib import Path

    from rewriter.musicxml.together import Change, Run
    from rewriter.reporting.results import Report
    from rewriter.verbs.parts import Part

PARALLEL_FROM = 4
"""Sketches from which on starting more processes is worth its while."""


class Asked(NamedTuple):
    """Parts that are asked for with the score.

    Attributes:
        folder: where they go; made if it is not there.
        cue_notes: bars of rest from which an entry gets cue notes; 0 for none.
        stem: what their file names begin with.
    """

    folder: Path
    cue_notes: int
    stem: str


class Job(NamedTuple):
    """One sketch to expand.

    Attributes:
        sketch: as the user named it.
        target: the score to write.
        settings: keyword arguments of the verb.
        force: replace the target even if somebody has worked on it.
        inputs: files that must never be written to.
        makes_folder: True when the target's folder may be made.
        parts: None where only the score is asked for.
    """

    sketch: Path
    target: Path
    settings: Mapping[str, Any]
    force: bool
    inputs: tuple[Path, ...]
    makes_folder: bool = False
    parts: Asked | None = None


class Outcome(NamedTuple):
    """What became of one sketch: a report, or a refusal.

    Attributes:
        sketch: as the user named it.
        target: the score that was to be written.
        report: None when the sketch was refused; nothing was written then.
        refusal: what is wrong and what to do about it; empty with a report.
        quotation: the offending text with the mistake underlined, for a terminal.
        parts: where the parts are written, and what stands in each; without its bytes.
        changes: the files, written beside their places.
    """

    sketch: Path
    target: Path
    report: Report | None
    refusal: str = ""
    quotation: str = ""
    parts: tuple[tuple[Path, Part], ...] = ()
    changes: tuple[Change, ...] = ()

    @property
    def is_up_to_date(self) -> bool:
        """True where every file was there already, byte for byte."""
        return bool(self.changes) and all(change.is_none for change in self.changes)


def do(run: Run, job: Job) -> Outcome:
    """Expand one sketch and write all that comes of it beside its place.

    A refusal comes back as an outcome. The rules have been read once before, so what is
    refused here is about the sketch.

    Args:
        run: that writes the files.
        job: what to do.
    """
    staged: list[Change] = []
    try:
        return _done(run, job, staged)
    except Refused as said:
        refusal = said.within(str(job.sketch))
    except MemoryError:
        refusal = Refused(
            "this takes more memory than there is",
            "take fewer bars at a time",
            file=str(job.sketch),
        )
    for change in staged:
        if change.new:
            change.beside(change.new).unlink(missing_ok=True)
    return Outcome(job.sketch, job.target, None, str(refusal), refusal.quotation)


def _done(run: Run, job: Job, staged: list[Change]) -> Outcome:
    from rewriter.musicxml.saving import check_target, stage_score
    from rewriter.verbs.expand import expand

    if job.makes_folder:
        _check_folder(job.target.parent, "--out-dir")
    check_target(job.target, force=job.force, inputs=job.inputs)
    if job.parts:
        _check_folder(job.parts.folder, "--parts")
    expansion = expand(job.sketch, **job.settings)
    parts = _stage_parts(run, job, expansion.score, staged) if job.parts else ()
    staged.append(
        stage_score(run, expansion.score, job.target, force=job.force, inputs=job.inputs)
    )
    return Outcome(job.sketch, job.target, expansion.report, parts=parts, changes=tuple(staged))


def _stage_parts(
    run: Run, job: Job, score: bytes, staged: list[Change]
) -> tuple[tuple[Path, Part], ...]:
    from rewriter.verbs.parts import parts, stage_parts

    asked = job.parts
    if asked is None:
        return ()
    made = parts(score, cue_notes=asked.cue_notes, stem=asked.stem)
    for part in made:
        if _same_name(asked.folder / part.file_name, job.target):
            raise Refused(
                f"the part of {part.name} would have the name of the score",
                "name another file with -o",
                file=str(job.target),
            )
    try:
        staged.extend(stage_parts(run, made, asked.folder, force=job.force, inputs=job.inputs))
    except Refused as refusal:
        refusal.remedy = refusal.remedy.replace("another folder", "another folder with --parts")
        raise
    return tuple((asked.folder / part.file_name, part._replace(data=b"")) for part in made)


def _same_name(one: Path, other: Path) -> bool:
    """True when two files are one, where small and capital letters are not told apart too."""
    return str(one.resolve()).lower() == str(other.resolve()).lower()


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


def _check_folder(folder: Path, option: str) -> None:
    """Refuse a folder that cannot be made or written in, before any work is done."""
    remedy = f"name another with {option}"
    there = next((place for place in (folder, *folder.parents) if place.exists()), folder)
    if not there.is_dir():
        raise Refused("this is no folder", remedy, file=str(there))
    if not os.access(there, os.W_OK | os.X_OK):
        what = "nothing may be written in this folder"
        raise Refused(
            what if there == folder else "no folder can be made here", remedy, file=str(there)
        )


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
