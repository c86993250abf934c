"""``--report``: the report as a file, all of it or nothing, never over something else."""

from __future__ import annotations

import os
from contextlib import contextmanager
from typing import TYPE_CHECKING

from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence
    from pathlib import Path

    from rewriter.cli.jobs import Outcome
    from rewriter.musicxml.together import Change, Run
    from rewriter.problems import Finding
    from rewriter.reporting.as_json import EarlierPartAccount, PartAccount

REMEDY = "name another file with --report"

OTHERS = {".musicxml", ".xml", ".mxl", ".toml"}
"""Ends of names no report has: a part, or a layout named in a plan, might be written over."""


def check_report(target: Path, *, force: bool, taken: Collection[Path]) -> None:
    """Refuse a place for the report before any work is done.

    An older report of this tool is replaced, unless somebody has written into it. Any other
    file is left alone without ``--force``, and sketches and scores even with it.

    Args:
        target: the file that is to become the report.
        force: replace it whatever it is.
        taken: sketches, rule files and scores of the same command.

    Raises:
        Refused: the report must not or cannot be written there.
    """
    if any(_same(target, path) for path in taken):
        _refuse(target, "this is an input or a score of the same command")
    if target.suffix.lower() in OTHERS:
        _refuse(target, "this is the name of a score or a rule file")
    if target.is_dir() or (target.exists() and not target.is_file()):
        _refuse(target, "this is no file that a report could be written to")
    if not target.parent.is_dir():
        _refuse(target, "there is no such folder", "make it first, or " + REMEDY)
    if not os.access(target.parent, os.W_OK | os.X_OK):
        _refuse(target, "nothing can be written in this folder")
    if target.exists() and not force:
        _check_untouched(target)


def stage_report(run: Run, outcomes: Sequence[Outcome], target: Path) -> Change:
    """Write the report over all scores of a command, to appear with them.

    Args:
        run: that writes it.
        outcomes: what became of the sketches.
        target: the report, as the user named it.

    Raises:
        Refused: the file could not be written; nothing is left of it.
    """
    from rewriter.reporting.as_json import account_of, report_file

    data = report_file(
        [
            account_of(
                each.report,
                "" if each.score else str(each.target),
                _parts_of(each),
                changed=each.changed,
                copy="" if each.copy_removed else str(each.copy or ""),
                earlier_parts=_earlier_parts_of(each),
            )
            for each in outcomes
            if each.report
        ],
        [(str(each.sketch), each.refusal) for each in outcomes if not each.report],
    )
    with in_its_place(target):
        return run.stage(data, target)


@contextmanager
def in_its_place(target: Path) -> Iterator[None]:
    """Where a report is written; what goes wrong there is said of it.

    Raises:
        Refused: the file could not be written.
    """
    from rewriter.musicxml.together import cannot_write

    try:
        yield
    except OSError as fault:
        refusal = cannot_write(fault).within(str(target))
        refusal.remedy = refusal.remedy.replace("-o", "--report")
        raise refusal from None


def findings_before(target: Path) -> dict[str, list[Finding]]:
    """What an older report found, by the score it found it in; nothing where there is none."""
    try:
        data = target.read_bytes()
    except OSError:
        return {}
    from rewriter.reporting.as_json import findings_in

    return findings_in(data)


def _parts_of(outcome: Outcome) -> list[PartAccount]:
    from rewriter.reporting.as_json import PartAccount

    return [
        PartAccount(
            name=file.part.name,
            written_to=str(file.path),
            bars=file.part.bars,
            tacet=file.part.tacet,
            multi_bar_rests=file.part.multi_bar_rests,
            cue_notes=file.part.cue_notes,
            replaced=file.replaced,
            copy=str(file.copy or ""),
        )
        for file in outcome.parts
    ]


def _earlier_parts_of(outcome: Outcome) -> list[EarlierPartAccount]:
    from rewriter.reporting.as_json import EarlierPartAccount

    going = outcome.leftovers.going
    return [
        EarlierPartAccount(
            file=str(part.path), changed=not part.untouched, removed=part.path in going
        )
        for part in outcome.leftovers.parts
    ]


def _check_untouched(target: Path) -> None:
    from rewriter.reporting.as_json import is_report, is_untouched_report

    try:
        data = target.read_bytes()
    except OSError:
        data = b""
    if not is_untouched_report(data):
        _refuse(
            target,
            "this report was changed since the tool wrote it"
            if is_report(data)
            else "this file is no report of this tool",
            REMEDY + ", or replace it with --force",
        )


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:  # one of them is not there yet
        return one.resolve() == other.resolve()


def _refuse(target: Path, what: str, remedy: str = REMEDY) -> None:
    raise Refused(what, remedy, file=str(target))
