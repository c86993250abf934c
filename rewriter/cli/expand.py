"""``rewriter expand``: from sketches to string scores."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rewriter.cli.checks import (
    check_cue_notes,
    check_distinct,
    check_distinct_parts,
    check_move,
    check_no_parts,
    check_rules,
    check_together,
    check_usage,
    stem_of,
)
from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.jobs import Asked, Job
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
    no_tacet_option,
    option,
    plan_option,
    quiet_option,
    remove_earlier_option,
    tune_option,
)
from rewriter.cli.project_jobs import project_jobs, with_defaults
from rewriter.cli.report_file import check_report
from rewriter.cli.streams import STREAM, read_stdin
from rewriter.cli.telling import Manner, tell
from rewriter.cli.wildcards import expand_patterns
from rewriter.cli.writing import write_together
from rewriter.rulefiles.projects import score_name

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rewriter.cli.jobs import Outcome

PLACE = "Layout"
READ = "Reading the sketch"
KEY = "Key"
KEEP = "What the score keeps"
WRITE = "Output"


@click.command(
    cls=GroupedCommand,
    epilog="""
Examples:
  The usual spacing of a broad tune, the octave chosen by the tool:
    rewriter expand lantern.musicxml --layout "Vn I / Vn II + Vla / Vc"

  The top line fixed an octave above the tune; a zipped score:
    rewriter expand lantern.mxl --layout "Vn I 8va / Vla / Vc" -o strings.mxl

  A whole cue by its plan, a tone lower, with parts for the stands:
    rewriter expand lantern.mxl --plan arc.toml --by "down M2" --parts parts

  A rule file, a studio-sized section, the tune named:
    rewriter expand lantern.mxl --layout broad.toml --ensemble studio --tune P2

  All cues that rewriter.toml lists, those up to date in one row each:
    rewriter expand

  Every sketch of a folder, with the reports for another program:
    rewriter expand *.mxl --layout broad.toml --out-dir out --report out.json
""",
)
@click.argument(
    "sketches", nargs=-1, type=FILE, metavar="[SKETCH...]", callback=expand_patterns
)
@layout_option(PLACE)
@plan_option(PLACE)
@ensemble_option(PLACE)
@range_options(PLACE)
@tune_option(READ)
@chords_option(READ)
@key_options(KEY)
@keep_options(KEEP)
@option(
    "-o",
    "--out",
    group=WRITE,
    type=FILE,
    metavar="FILE",
    help="The score, .musicxml, .xml or .mxl (zipped).  [default: SKETCH-strings.musicxml, "
    "here]",
)
@option(
    "--out-dir",
    group=WRITE,
    type=FILE,
    metavar="DIR",
    help="The folder for the scores; made if it is not there.",
)
@option(
    "--parts",
    "parts_dir",
    group=WRITE,
    type=FILE,
    metavar="DIR",
    help="Write a part for each section too, into this folder; made if it is not there.",
)
@option(
    "--cue-notes",
    group=WRITE,
    type=click.INT,
    default=0,
    metavar="BARS",
    help="Cue notes in the parts, before an entry after so many bars of rest or more.  "
    "[default: none]",
)
@no_tacet_option(WRITE)
@remove_earlier_option(WRITE)
@option(
    "--report",
    "report_target",
    group=WRITE,
    type=FILE,
    metavar="FILE.json",
    help="Write the report as JSON too; what its fields mean stands in "
    "rules/schemas/report.json beside the tool.",
)
@no_copy_option(WRITE)
@dry_run_option(WRITE)
@force_option(WRITE)
@quiet_option(WRITE)
@click.pass_context
def command(
    context: click.Context,
    /,
    sketches: tuple[Path, ...],
    out: Path | None,
    out_dir: Path | None,
    parts_dir: Path | None,
    cue_notes: int,
    no_tacet: bool,
    remove_earlier: bool,
    report_target: Path | None,
    quiet: bool,
    copy: bool,
    dry_run: bool,
    force: bool,
    up: bool,
    down: bool,
    **settings: Any,
) -> int:
    """Write full string scores from sketches.

    Each SKETCH is a MusicXML file (.musicxml, .xml, .mxl): a short score with the
    tune on one staff. The layout says which section plays the tune in which octave: in a
    stack, "/" goes down an octave and "+" shares one. A plan does so passage by
    passage. The report goes to the terminal. "-" is stdin, and with -o stdout. Where
    music21 is installed, a sketch may be ABC, Humdrum, MEI or MIDI too.

    Without SKETCH, the cues that a rewriter.toml lists, here or in a folder above, are
    brought up to date.
    """
    settings = {name: "" if value is None else value for name, value in settings.items()}
    settings["direction"] = "up" if up else "down" if down else "nearest"
    asked = Asked(
        parts_dir or Path(), cue_notes, tacet=not no_tacet, remove_earlier=remove_earlier
    )
    if not sketches:
        jobs = project_jobs(context, settings | {"copy": copy}, asked, force=force)
    else:
        check_usage(sketches, out, out_dir)
        check_together(settings, both_ways=up and down)
        check_cue_notes(cue_notes)
        if not parts_dir:
            check_no_parts(
                {
                    "--cue-notes": cue_notes,
                    "--no-tacet": no_tacet,
                    "--remove-earlier": remove_earlier,
                }
            )
        files = {"cue_notes": cue_notes, "copy": copy}
        settings = with_defaults(context, settings | files, quiet=quiet)
        asked = asked._replace(cue_notes=settings.pop("cue_notes"))
        jobs = _jobs(sketches, out, out_dir, settings, asked if parts_dir else None, force)
    if report_target:
        taken = [*jobs[0].inputs, *(job.target for job in jobs)]
        check_report(report_target, force=force, taken=taken)
    if sketches:
        check_rules(settings["layout"], settings["plan"], settings["ensemble"])
        check_move(settings["key"], settings["by"], settings["direction"])
    outcomes = write_together(jobs, report_target, dry=dry_run)
    tell(outcomes, Manner(dry=dry_run, quiet=quiet, brief=not sketches))
    return _status(outcomes)


def _jobs(
    sketches: Sequence[Path],
    out: Path | None,
    out_dir: Path | None,
    settings: Mapping[str, Any],
    asked: Asked | None,
    force: bool,
) -> list[Job]:
    """One job for each sketch, to files of their own."""
    targets = [_target_of(sketch, out, out_dir) for sketch in sketches]
    check_distinct(sketches, targets)
    if asked and len(targets) > 1:
        check_distinct_parts(sketches, targets)
    settings = dict(settings)
    copy = settings.pop("copy")
    rules = [Path(settings[name]) for name in ("layout", "plan", "ensemble")]
    inputs = (*sketches, *(rule for rule in rules if rule.suffix == ".toml"))
    return [
        Job(
            sketch,
            target,
            settings,
            force,
            inputs,
            makes_folder=out_dir is not None,
            parts=asked._replace(stem=_stem(sketch, target)) if asked else None,
            data=read_stdin() if sketch == STREAM else None,
            copy=copy,
        )
        for sketch, target in zip(sketches, targets, strict=True)
    ]


def _stem(sketch: Path, target: Path) -> str:
    """What the names of the parts begin with; empty where no file has a name."""
    named = next((path for path in (target, sketch) if path != STREAM), None)
    return stem_of(named) if named else ""


def _target_of(sketch: Path, out: Path | None, out_dir: Path | None) -> Path:
    return out or (out_dir or Path()) / score_name(sketch)


def _status(outcomes: Sequence[Outcome]) -> int:
    """The worst outcome: what could not be done, then errors in the music."""
    from rewriter.cli.main import COULD_NOT, DONE, FOUND_ERRORS

    if any(outcome.report is None for outcome in outcomes):
        return COULD_NOT
    return (
        FOUND_ERRORS
        if any(each.report and each.report.has_errors for each in outcomes)
        else DONE
    )
