"""``--report``: the report as a file, all of it or nothing, never over something else."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from rewriter.cli.batch import Outcome
    from rewriter.reporting.as_json import PartAccount

REMEDY = "name another file with --report"

OTHERS = {".musicxml", ".xml", ".mxl", ".toml"}
"""Ends of names no report has: a part, or a layout named in a plan, might be written over."""


def check_report(target: Path, *, force: bool, taken: Collection[Path]) -> None:
    """Refuse a place for the report before any work is done.

    An older report of this tool is replaced, for nobody works on a report. Any other file
    is left alone without ``--force``, and sketches and scores even with it.

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
    if target.exists() and not force and not _is_report(target):
        _refuse(
            target,
            "this file is no report of this tool",
            REMEDY + ", or replace it with --force",
        )


def write_report(outcomes: Sequence[Outcome], target: Path) -> None:
    """Write the report over all scores of a command.

    Raises:
        Refused: the file could not be written; what was there before still is.
    """
    from rewriter.reporting.as_json import account_of, report_file

    data = report_file(
        [
            account_of(each.report, str(each.target), _parts_of(each))
            for each in outcomes
            if each.report
        ],
        [(str(each.sketch), each.refusal) for each in outcomes if not each.report],
    )
    try:
        _replace(target, data)
    except OSError as fault:
        _refuse(target, f"the report cannot be written ({fault.strerror})")


def _parts_of(outcome: Outcome) -> list[PartAccount]:
    from rewriter.reporting.as_json import PartAccount

    return [
        PartAccount(
            name=part.name,
            written_to=str(path),
            bars=part.bars,
            tacet=part.tacet,
            multi_bar_rests=part.multi_bar_rests,
            cue_notes=part.cue_notes,
        )
        for path, part in outcome.parts
    ]


def _replace(target: Path, data: bytes) -> None:
    """Write beside the target, then take its name in one step."""
    import tempfile

    handle, name = tempfile.mkstemp(dir=target.parent, prefix=".rewriter-")
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        beside.chmod(_mode_of(target))
        beside.replace(target)
    except BaseException:
        with suppress(OSError):
            beside.unlink()
        raise


def _mode_of(target: Path) -> int:
    """Permissions of the file that is replaced, else those a new file gets."""
    try:
        return target.stat().st_mode & 0o777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _is_report(target: Path) -> bool:
    from rewriter.reporting.as_json import is_report

    try:
        return is_report(target.read_bytes())
    except OSError:
        return False


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:  # one of them is not there yet
        return one.resolve() == other.resolve()


def _refuse(target: Path, what: str, remedy: str = REMEDY) -> None:
    raise Refused(what, remedy, file=str(target))
