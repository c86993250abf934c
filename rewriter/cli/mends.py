"""Finished scores mended, on all cores if they are many, and written together or not at all."""

from __future__ import annotations

import sys
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import msgspec

from rewriter.cli.batch import do_all, in_order, with_progress
from rewriter.cli.streams import STREAM, is_terminal
from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rewriter.musicxml.together import Change, Run
    from rewriter.reporting.enforced import Enforced

SUFFIX = "-mended"
"""What is added to a file's name where no other place is named."""


class MendJob(msgspec.Struct, frozen=True):
    """One score to mend.

    Attributes:
        score: the file, as it was named.
        target: where it goes; ``-`` for stdout.
        settings: keyword arguments of the verb.
        force: replace what is there.
        inputs: files that must never be written to.
        always: write it even if nothing is to be mended.
        data: of the score, where it came from stdin; else None.
    """

    score: Path
    target: Path
    settings: Mapping[str, Any]
    force: bool
    inputs: tuple[Path, ...]
    always: bool
    data: bytes | None = None


class MendOutcome(NamedTuple):
    """What became of one score.

    Attributes:
        job: that was to be done.
        report: None where the score was refused.
        refusal: what is wrong and what to do about it; empty with a report.
        change: the file, written beside its place but in a dry run; None where there is none.
        score: itself, where it goes to stdout; else empty.
    """

    job: MendJob
    report: Enforced | None
    refusal: str = ""
    change: Change | None = None
    score: bytes = b""


def target_of(score: Path, out: Path | None, out_dir: Path | None) -> Path:
    """Where a mended score goes: as named, else into the folder, else beside its name, here."""
    if out:
        return out
    return out_dir / score.name if out_dir else Path(score.stem + SUFFIX + score.suffix)


def mend_together(
    jobs: Sequence[MendJob], *, make: Sequence[Path], dry: bool
) -> list[MendOutcome]:
    """Mend all scores; the files appear together, or none does.

    Args:
        jobs: one for each score.
        make: folders that are made where they are not there.
        dry: True when nothing is to be written.

    Raises:
        Refused: a file could not be written; nothing has changed.
    """
    from rewriter.cli.writing import settle_stopped_runs
    from rewriter.musicxml.together import DRY_RUN, Together

    if dry:
        return _work(DRY_RUN, jobs)
    folders = [*(job.target.parent for job in jobs if job.target != STREAM), *make]
    settle_stopped_runs(folders)
    with in_order(len(jobs)), Together(folders, make=make) as together:
        outcomes = _work(together.run, jobs)
        together.put_in_place([one.change for one in outcomes if one.change])
    return outcomes


def _work(run: Run, jobs: Sequence[MendJob]) -> list[MendOutcome]:
    files = [job.score for job in jobs]
    shown = len(jobs) > 1 and is_terminal(sys.stderr)
    with closing(do_all(partial(_mend, run), jobs, files, _stopped)) as work:
        return list(with_progress(work, len(jobs), "mending", shown=shown))


def _mend(run: Run, job: MendJob) -> MendOutcome:
    from rewriter.verbs.enforce import enforce

    try:
        made = enforce(job.score if job.data is None else job.data, **job.settings)
        if not (made.report.changed or made.report.part_list or job.always):
            return MendOutcome(job, made.report)
        if job.target == STREAM:
            return MendOutcome(job, made.report, score=made.score)
        return MendOutcome(job, made.report, change=_staged(run, made.score, job))
    except Refused as refusal:
        return MendOutcome(job, None, str(refusal.within(str(job.score))))
    except MemoryError:
        what = "this takes more memory than there is; take fewer bars at a time"
        return MendOutcome(job, None, f"{job.score}: {what}")


def _staged(run: Run, data: bytes, job: MendJob) -> Change:
    """The file written beside its place, in the container its name asks for."""
    from rewriter.musicxml.saving import check_target, in_container
    from rewriter.musicxml.together import cannot_write

    target = job.target
    data = in_container(data, target)
    try:
        there = target.is_file() and target.read_bytes() == data
        if not there and (run.writes or target.parent.is_dir()):
            check_target(target, force=job.force, inputs=job.inputs)
        return run.stage(data, target)
    except OSError as fault:
        raise cannot_write(fault).within(str(target)) from None


def _stopped(job: MendJob, why: str) -> MendOutcome:
    return MendOutcome(job, None, why)
