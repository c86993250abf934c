"""``rewriter enforce``: finished scores mended."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rewriter.cli.checks import check_distinct, check_tune_told_once
from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.mends import MendJob, mend_together, target_of
from rewriter.cli.options import (
    FILE,
    dry_run_option,
    ensemble_of_house_option,
    force_option,
    house_option,
    option,
    quiet_option,
    section_option,
    sketch_of_score_option,
    tune_of_score_option,
)
from rewriter.cli.project_jobs import with_defaults
from rewriter.cli.score_files import score_files
from rewriter.cli.streams import STREAM, read_stdin
from rewriter.cli.told_of_mends import tell_of_mends
from rewriter.cli.usage import refuse_usage

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

READ = "Reading the score"
WANT = "What is wanted"
WRITE = "Output"


@click.command(
    cls=GroupedCommand,
    short_help="Mend finished scores where that is certain.",
    epilog="""
Examples:
  What would be mended, bar by bar:
    rewriter enforce overture.mxl --house recording --dry-run

  Mend it; the file that was handed in stays as it is:
    rewriter enforce overture.mxl --house recording -o overture-for-players.mxl

  Only signs, in a whole folder:
    rewriter enforce scores/ --only accidental-differs --out-dir mended
""",
)
@click.argument("scores", type=FILE, nargs=-1, required=True, metavar="SCORE|FOLDER...")
@section_option(READ)
@sketch_of_score_option(READ)
@tune_of_score_option(READ)
@ensemble_of_house_option(READ)
@house_option(WANT)
@option(
    "--only",
    group=WANT,
    multiple=True,
    metavar="RULE",
    help="Only this rule mends; may be given several times.  [default: every rule that can]",
)
@option(
    "--without",
    group=WANT,
    multiple=True,
    metavar="RULE",
    help="This rule mends nothing; may be given several times.",
)
@option(
    "-o",
    "--out",
    group=WRITE,
    type=FILE,
    metavar="FILE",
    help="The mended score, .musicxml, .xml or .mxl (zipped).  [default: SCORE-mended, here]",
)
@option(
    "--out-dir",
    group=WRITE,
    type=FILE,
    metavar="DIR",
    help="The folder for the scores, each under its own name; made if it is not there.",
)
@option("--json", "as_json", group=WRITE, is_flag=True, help="Print what was done as JSON.")
@dry_run_option(WRITE)
@force_option(WRITE)
@quiet_option(WRITE)
@click.pass_context
def command(
    context: click.Context,
    scores: tuple[Path, ...],
    sections: tuple[str, ...],
    sketch: Path | None,
    tune: str,
    ensemble: str,
    house: str,
    only: tuple[str, ...],
    without: tuple[str, ...],
    out: Path | None,
    out_dir: Path | None,
    as_json: bool,
    dry_run: bool,
    force: bool,
    quiet: bool,
) -> int:
    """Put right in finished scores what can be put right for certain.

    Only the bars that are mended change, and the list of parts where names are;
    every other byte of a file stays as it is. Everything that was done is told,
    and what was left, with the reason. The exit status is 1 where errors are
    left, 2 where a score could not be read.
    """
    from rewriter.verbs.check import house_and_ensemble
    from rewriter.verbs.enforce import check_rule_ids

    files = score_files(scores)
    check_tune_told_once(sketch, tune)
    _check_usage(files, out, out_dir)
    check_rule_ids([*only, *without])
    found = with_defaults(context, {"ensemble": ensemble, "house": house}, quiet=quiet)
    house_and_ensemble(found["house"], found["ensemble"])  # its faults are told once
    told = {"sections": sections, "sketch": sketch, "tune": tune}
    settings = found | told | {"only": only, "without": without}
    targets = [target_of(file, out, out_dir) for file in files]
    check_distinct(files, targets)
    jobs = [
        MendJob(
            file,
            target,
            settings,
            force,
            tuple(files),
            always=bool(out or out_dir),
            data=read_stdin() if file == STREAM else None,
        )
        for file, target in zip(files, targets, strict=True)
    ]
    outcomes = mend_together(jobs, make=[out_dir] if out_dir else [], dry=dry_run)
    return tell_of_mends(outcomes, as_json=as_json, quiet=quiet, dry=dry_run)


def _check_usage(files: Sequence[Path], out: Path | None, out_dir: Path | None) -> None:
    if out and out_dir:
        refuse_usage("-o and --out-dir exclude each other", "name one of them")
    if STREAM in files and not out:
        refuse_usage("the score of - has no name", "name it with -o")
    if out and len(files) > 1:
        what = f"-o names one file for {len(files)} scores"
        refuse_usage(what, "name a folder with --out-dir")
