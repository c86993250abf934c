"""``rewriter expand``: from sketches to string scores."""

from __future__ import annotations

import sys
from contextlib import AbstractContextManager, closing, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rewriter.cli.batch import PARALLEL_FROM, Asked, Job, Outcome, do_all, with_progress
from rewriter.cli.checks import (
    check_distinct,
    check_distinct_parts,
    check_move,
    check_rules,
    check_together,
    check_usage,
    stem_of,
)
from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.options import (
    FILE,
    ensemble_option,
    layout_option,
    option,
    plan_option,
    tune_option,
)
from rewriter.cli.report_file import check_report, stage_report
from rewriter.cli.streams import complain, is_terminal
from rewriter.cli.telling import tell
from rewriter.cli.wildcards import expand_patterns
from rewriter.rulefiles.projects import score_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.musicxml.together import Run

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

  Every sketch of a folder, with the reports for another program:
    rewriter expand *.mxl --layout broad.toml --out-dir out --report out.json
""",
)
@click.argument("sketches", nargs=-1, type=FILE, metavar="SKETCH...", callback=expand_patterns)
@layout_option(PLACE)
@plan_option(PLACE)
@ensemble_option(PLACE)
@option(
    "--out-of-range",
    group=PLACE,
    type=click.Choice(["keep", "octave", "rest", "refuse"]),
    metavar="HOW",
    help="Notes out of a section's range: keep them and report, octave (move them), rest, "
    "or refuse to write.  [default: as the layout says, else keep]",
)
@option(
    "--registers",
    group=PLACE,
    type=click.Choice(["singing", "measured"]),
    metavar="SET",
    help="Which octave a stack without an octave word goes to: singing, where its sections "
    "sing, or measured, where the symphonic repertory puts its tunes.  [default: as the "
    "ensemble says, else singing]",
)
@tune_option(READ)
@option(
    "--chords",
    group=READ,
    type=click.Choice(["top", "divide"]),
    metavar="top|divide",
    help="Chords in the tune: the top note, or the section divided note by note.  "
    "[default: as the layout says, else top]",
)
@option(
    "--key",
    group=KEY,
    default="",
    metavar="KEY",
    help="Move the cue to this tonic, mode kept: G, Bb, F#, fis-Moll, Es-Dur.",
)
@option(
    "--by",
    group=KEY,
    default="",
    metavar="INTERVAL",
    help='Or move it by an interval: "up m3", "down M2".',
)
@option("--up", group=KEY, is_flag=True, help="Go up to the key.  [default: the nearer way]")
@option("--down", group=KEY, is_flag=True, help="Go down to the key.")
@option(
    "--keep-sketch", group=KEEP, is_flag=True, help="Put the whole sketch under the strings."
)
@option("--keep-lyrics", group=KEEP, is_flag=True, help="Keep the lyrics of the tune.")
@option("--keep-harmony", group=KEEP, is_flag=True, help="Keep the chord symbols.")
@option(
    "--language",
    group=KEEP,
    type=click.Choice(["en", "it", "de", "fr"]),
    metavar="en|it|de|fr",
    help="Names of the sections.  [default: as the ensemble says]",
)
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
@option(
    "--report",
    "report_target",
    group=WRITE,
    type=FILE,
    metavar="FILE.json",
    help="Write the report as JSON too; what its fields mean stands in "
    "rules/schemas/report.json beside the tool.",
)
@option(
    "--force",
    group=WRITE,
    is_flag=True,
    help="Replace files that are not the tool's own last output.",
)
def command(
    sketches: tuple[Path, ...],
    out: Path | None,
    out_dir: Path | None,
    parts_dir: Path | None,
    cue_notes: int,
    report_target: Path | None,
    force: bool,
    up: bool,
    down: bool,
    **settings: Any,
) -> int:
    """Write full string scores from sketches.

    Each SKETCH is a MusicXML file (.musicxml, .xml, .mxl): a short score with the
    tune on one staff. The layout says which section plays the tune in which octave: in a
    stack, "/" goes down an octave and "+" shares one. A plan does so passage by
    passage. The report goes to the terminal.
    """
    settings = {name: "" if value is None else value for name, value in settings.items()}
    settings["direction"] = "up" if up else "down" if down else "nearest"
    check_usage(sketches, out, out_dir)
    check_together(settings, both_ways=up and down, cue_notes=cue_notes, parts_dir=parts_dir)
    targets = [_target_of(sketch, out, out_dir) for sketch in sketches]
    check_distinct(sketches, targets)
    if parts_dir and len(targets) > 1:
        check_distinct_parts(sketches, targets)
    rules = [Path(settings[name]) for name in ("layout", "plan", "ensemble")]
    inputs = (*sketches, *(rule for rule in rules if rule.suffix == ".toml"))
    if report_target:
        check_report(report_target, force=force, taken=[*inputs, *targets])
    check_rules(settings["layout"], settings["plan"], settings["ensemble"])
    check_move(settings["key"], settings["by"], settings["direction"])
    jobs = [
        Job(
            sketch,
            target,
            settings,
            force,
            inputs,
            makes_folder=out_dir is not None,
            parts=Asked(parts_dir, cue_notes, stem_of(target)) if parts_dir else None,
        )
        for sketch, target in zip(sketches, targets, strict=True)
    ]
    outcomes = _write_together(jobs, report_target)
    tell(outcomes)
    return _status(outcomes)


def _target_of(sketch: Path, out: Path | None, out_dir: Path | None) -> Path:
    return out or (out_dir or Path()) / score_name(sketch)


def _write_together(jobs: Sequence[Job], report_target: Path | None) -> list[Outcome]:
    """Do all jobs; scores, parts and report appear together, or nothing does."""
    from rewriter.musicxml.stopped_runs import settle
    from rewriter.musicxml.together import Together

    made = [job.target.parent for job in jobs if job.makes_folder]
    made += [job.parts.folder for job in jobs if job.parts]
    folders = [
        target.parent for target in (*(job.target for job in jobs), report_target) if target
    ]
    for line in settle([*folders, *made]):
        complain(line)
    with _in_order(len(jobs)), Together([*folders, *made], make=made) as together:
        outcomes = _work(together.run, jobs)
        changes = [change for outcome in outcomes for change in outcome.changes]
        if report_target and changes:
            changes.append(stage_report(together.run, outcomes, report_target))
        together.put_in_place(changes)
    return outcomes


def _in_order(jobs: int) -> AbstractContextManager[None]:
    """Where there may be other processes, none outlives this one."""
    if jobs < PARALLEL_FROM:
        return nullcontext()
    from rewriter.cli.workers import ended_in_order

    return ended_in_order()


def _work(run: Run, jobs: Sequence[Job]) -> list[Outcome]:
    shown = len(jobs) > 1 and is_terminal(sys.stderr)
    with closing(do_all(run, jobs)) as work:
        return list(with_progress(work, len(jobs), shown=shown))


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
