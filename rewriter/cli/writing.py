"""All that comes of a command line: scores, parts and report, together or not at all."""

from __future__ import annotations

import sys
from contextlib import closing
from functools import partial
from typing import TYPE_CHECKING

from rewriter.cli.batch import do_all, in_order, with_progress
from rewriter.cli.jobs import do, stopped
from rewriter.cli.report_file import findings_before, stage_report
from rewriter.cli.streams import STREAM, complain, is_terminal

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from rewriter.cli.jobs import Job, Outcome
    from rewriter.musicxml.together import Run
    from rewriter.problems import Finding


def write_together(
    jobs: Sequence[Job], report_target: Path | None, *, dry: bool
) -> list[Outcome]:
    """Do all jobs; scores, parts and report appear together, or nothing does.

    Args:
        jobs: one for each sketch.
        report_target: the report as a file; None where none is asked for.
        dry: True when nothing is to be written.

    Raises:
        Refused: a file could not be written; nothing has changed.
    """
    before = findings_before(report_target) if report_target else {}
    from rewriter.musicxml.together import DRY_RUN, Together

    if dry:
        return _with_findings(_work(DRY_RUN, jobs), before)

    made = [job.target.parent for job in jobs if job.makes_folder]
    made += [job.parts.folder for job in jobs if job.parts]
    targets = [job.target for job in jobs if job.target != STREAM]
    made += _folders_of_copies(jobs, made)
    targets += [report_target] if report_target else []
    folders = [*(target.parent for target in targets), *made]
    settle_stopped_runs(folders)
    with in_order(len(jobs)), Together(folders, make=made) as together:
        outcomes = _with_findings(_work(together.run, jobs), before)
        changes = [change for outcome in outcomes for change in outcome.changes]
        if report_target and any(outcome.report for outcome in outcomes):
            changes.append(stage_report(together.run, outcomes, report_target))
        together.put_in_place(changes)
    return outcomes


def _folders_of_copies(jobs: Sequence[Job], made: Sequence[Path]) -> list[Path]:
    """Folders for copies, of those that are there beside outputs or are going to be."""
    from rewriter.musicxml.copies import folder_of_copies

    beside = [job.target.parent for job in jobs if job.copy and job.target != STREAM]
    beside += [job.parts.folder for job in jobs if job.copy and job.parts]
    return [
        folder_of_copies(folder)
        for folder in dict.fromkeys(beside)
        if folder in made or folder.is_dir()
    ]


def settle_stopped_runs(folders: Sequence[Path]) -> None:
    """Complete or undo what killed runs have left in some folders, and say so.

    Args:
        folders: where files are going to be written; copies beside them are looked at too.
    """
    from rewriter.musicxml.copies import folder_of_copies
    from rewriter.musicxml.together import journals_in

    folders = [*folders, *map(folder_of_copies, folders)]
    if journals_in(folders):  # it is seldom that there are any
        from rewriter.musicxml.stopped_runs import settle

        for line in settle(folders):
            complain(line)


def _work(run: Run, jobs: Sequence[Job]) -> list[Outcome]:
    shown = len(jobs) > 1 and is_terminal(sys.stderr)
    files = [job.sketch for job in jobs]
    with closing(do_all(partial(do, run), jobs, files, stopped)) as work:
        return list(with_progress(work, len(jobs), "expanding", shown=shown))


def _with_findings(
    outcomes: list[Outcome], before: Mapping[str, Sequence[Finding]]
) -> list[Outcome]:
    """Outcomes that say what is found no more and what is found now, where that is known."""
    if not before:
        return outcomes
    from rewriter.reporting.changes import with_findings

    return [
        outcome._replace(
            changed=tuple(with_findings(outcome.changed, old, outcome.report.findings))
        )
        if outcome.report
        and outcome.changed
        and (old := before.get(str(outcome.target))) is not None
        else outcome
        for outcome in outcomes
    ]
