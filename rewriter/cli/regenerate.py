"""``rewriter regenerate``: a score made anew, with what was done to it by hand."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rewriter.cli.checks import (
    check_cue_notes,
    check_move,
    check_rules,
    check_together,
)
from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.making_options import (
    chords_option,
    keep_options,
    key_options,
    range_options,
)
from rewriter.cli.options import (
    FILE,
    dry_run_option,
    ensemble_option,
    force_option,
    layout_option,
    no_copy_option,
    option,
    plan_option,
    quiet_option,
    tune_option,
)
from rewriter.cli.project_jobs import with_defaults
from rewriter.cli.regenerated_files import Targets, tell_of_regeneration, write_regeneration
from rewriter.cli.report_file import check_report
from rewriter.cli.streams import STREAM, read_stdin
from rewriter.cli.usage import refuse_usage

if TYPE_CHECKING:
    from collections.abc import Mapping

BASE = "What it was"
NOW = "What it is to be"
READ = "Reading the sketch"
KEY = "Key"
MERGE = "What the hand did"
KEEP = "What the score keeps"
WRITE = "Output"

SUFFIX = "-regenerated"
"""What is added to a file's name where no other place is named."""


@click.command(
    cls=GroupedCommand,
    short_help="Make a score anew, with what was done by hand.",
    epilog="""
Examples:
  The cue a tone lower, corrections kept:
    rewriter regenerate lantern.mxl --now sketch.mxl --plan arc.toml
    --by "down M2"

  What would become of them when four bars have come into the sketch:
    rewriter regenerate lantern.mxl --now sketch-2.mxl --plan arc.toml --dry-run

  One part, its page turns kept, with a line that says which version it is:
    rewriter regenerate lantern-Vla.mxl --now sketch-2.mxl --plan arc.toml
    --keep-breaks --version-line "2 May, second session" -o lantern-2-Vla.mxl

  No copy was kept, but the old sketch is there:
    rewriter regenerate lantern.mxl --now sketch-2.mxl --was sketch.mxl
    --plan arc.toml
""",
)
@click.argument("edited", type=FILE, metavar="EDITED")
@option(
    "--now",
    group=NOW,
    type=FILE,
    metavar="SKETCH",
    help="The sketch as it is now. Required.",
)
@layout_option(NOW)
@plan_option(NOW)
@ensemble_option(NOW)
@range_options(NOW)
@tune_option(READ)
@chords_option(READ)
@key_options(KEY)
@option(
    "--base",
    group=BASE,
    type=FILE,
    metavar="FILE",
    help="The score as the tool made it before.  [default: the copy in as-made beside EDITED "
    "or near]",
)
@option(
    "--was",
    group=BASE,
    type=FILE,
    metavar="SKETCH",
    help="Or the sketch it was made from, by this version of the tool.",
)
@option(
    "--was-layout",
    group=BASE,
    default="",
    metavar="NAME|FILE|STACK",
    help="With which layout it was made from --was.  [default: as now]",
)
@option(
    "--was-plan",
    group=BASE,
    default="",
    metavar="NAME|FILE",
    help="With which plan.  [default: as now]",
)
@option(
    "--was-key",
    group=BASE,
    default="",
    metavar="KEY",
    help="To which key it was moved.  [default: not at all]",
)
@option(
    "--was-by",
    group=BASE,
    default="",
    metavar="INTERVAL",
    help="Or by which interval.",
)
@option(
    "--prefer",
    group=MERGE,
    type=click.Choice(["hand", "new"]),
    metavar="hand|new",
    help="Whose version stands where both have changed the same thing.  [default: the new "
    "notes, as other sections play them too; the hand's marks]",
)
@option(
    "--keep-breaks",
    group=MERGE,
    is_flag=True,
    help="Breaks of pages and systems are kept too, and it is said which pages are to be "
    "printed again.",
)
@option(
    "--no-marks",
    "marks",
    group=MERGE,
    is_flag=True,
    flag_value=False,
    default=True,
    help='No words in the score where a conflict is to be settled.  [default: "to settle: '
    '..." above the staff]',
)
@option(
    "--bars",
    group=MERGE,
    default="",
    metavar="MAP",
    help='Which bars of the old sketch are which of the new: "1-8=1-8, 9-40=13-44".  '
    "[default: found by what sounds]",
)
@keep_options(KEEP)
@option(
    "--cue-notes",
    group=KEEP,
    type=click.INT,
    default=0,
    metavar="BARS",
    help="Where EDITED is a part: cue notes before an entry after so many bars of rest or "
    "more.  [default: none]",
)
@option(
    "--version-line",
    group=KEEP,
    default="",
    metavar="TEXT",
    help="Words over the first bar of every part that is not as it was, such as a date.",
)
@option(
    "-o",
    "--out",
    group=WRITE,
    type=FILE,
    metavar="FILE",
    help="The new score, .musicxml, .xml or .mxl (zipped), never EDITED itself.  [default: "
    "EDITED-regenerated, beside it]",
)
@option(
    "--conflicts",
    group=WRITE,
    type=FILE,
    metavar="FILE",
    help="A score of the conflicts only: what lost, in small notes and words.",
)
@option(
    "--report",
    "report_target",
    group=WRITE,
    type=FILE,
    metavar="FILE.json",
    help="Write the report as JSON too; what its fields mean stands in "
    "rules/schemas/regenerate.json beside the tool.",
)
@no_copy_option(WRITE)
@dry_run_option(WRITE)
@force_option(WRITE)
@quiet_option(WRITE)
@click.pass_context
def command(
    context: click.Context,
    /,
    edited: Path,
    now: Path | None,
    out: Path | None,
    conflicts: Path | None,
    report_target: Path | None,
    copy: bool,
    dry_run: bool,
    force: bool,
    quiet: bool,
    up: bool,
    down: bool,
    **settings: Any,
) -> int:
    """Make a score anew, and carry into it what was done to it by hand.

    EDITED is a score that this tool made and somebody has worked on since, or the part of one
    section. It is held against the copy of what was made, and every edit goes into the score
    that is made now: transposed, to its own bar. What the sketch, plan or key has changed too
    is a conflict and told; what has no place is listed; nothing is lost without a word. The
    exit status is 1 where something is to be settled.
    """
    from rewriter.verbs.regenerate import regenerate

    settings = {name: "" if value is None else value for name, value in settings.items()}
    settings["direction"] = "up" if up else "down" if down else "nearest"
    now = _check_usage(edited, now, out, settings)
    check_together(settings, both_ways=up and down)
    check_cue_notes(settings["cue_notes"])
    targets = Targets(out or _target_of(edited), conflicts, report_target, copy=copy)
    inputs = _inputs(edited, now, settings)
    if report_target:
        check_report(report_target, force=force, taken=[*inputs, targets.score])
    said = with_defaults(context, {**settings, "copy": copy}, quiet=quiet)
    targets = targets._replace(copy=said.pop("copy"))
    check_rules(said["layout"], said["plan"], said["ensemble"])
    check_move(said["key"], said["by"], said["direction"])
    for name in ("base", "was"):
        said[name] = said[name] or None
    source = read_stdin() if edited == STREAM else edited
    made = regenerate(source, now, conflict_score=bool(conflicts), **said)
    manner = {"force": force, "inputs": inputs}
    written = write_regeneration(made, targets, manner, dry=dry_run)
    return tell_of_regeneration(made, written, quiet=quiet)


def _check_usage(
    edited: Path, now: Path | None, out: Path | None, settings: Mapping[str, Any]
) -> Path:
    """The new sketch; refused is a command line that contradicts itself."""
    if now is None:
        refuse_usage("--now is missing", "name the sketch as it is now")
    if edited == STREAM and now == STREAM:
        refuse_usage('the score and the sketch are both "-"', "name a file for one of them")
    if edited == STREAM and not out:
        refuse_usage("the score of - has no name", "name the new one with -o")
    for one, other in (("base", "was"), ("was_layout", "was_plan"), ("was_key", "was_by")):
        if settings[one] and settings[other]:
            names = [f"--{name.replace('_', '-')}" for name in (one, other)]
            refuse_usage(f"{' and '.join(names)} exclude each other", "name one of them")
    told = [name for name in settings if name.startswith("was_") and settings[name]]
    if told and not settings["was"]:
        option_name = f"--{told[0].replace('_', '-')}"
        refuse_usage(
            f"{option_name} is about --was, and that is not there", "name the old sketch"
        )
    return now


def _inputs(edited: Path, now: Path, settings: Mapping[str, Any]) -> tuple[Path, ...]:
    """Files that are being read."""
    rules = ("layout", "plan", "ensemble", "was_layout", "was_plan")
    named = [Path(settings[name]) for name in rules if str(settings[name]).endswith(".toml")]
    others = [settings[name] for name in ("base", "was") if settings[name]]
    return (edited, now, *others, *named)


def _target_of(edited: Path) -> Path:
    return edited.with_name(edited.stem + SUFFIX + edited.suffix)
