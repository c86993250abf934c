"""``rewriter expand``: from short scores to string scores."""

import shutil
import sys
from collections.abc import Iterable, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

import click

from rewriter.cli.batch import Job, Outcome, do_all, with_progress
from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.options import FILE, ensemble_option, layout_option, option
from rewriter.cli.report_file import check_report, write_report
from rewriter.cli.streams import complain, is_terminal, say
from rewriter.cli.usage import refuse_usage

PLACE = "Layout"
READ = "Reading the sketch"
KEEP = "What the score keeps"
WRITE = "Output"

NARROWEST, WIDEST = 60, 100
"""Columns of a report on a terminal; elsewhere always the same number."""


@click.command(
    cls=GroupedCommand,
    epilog="""
Examples:
  The usual spacing of a broad tune, the octave chosen by the tool:
    rewriter expand lantern.musicxml --layout "Vn I / Vn II + Vla / Vc"

  The top line fixed an octave above the tune; a zipped score:
    rewriter expand lantern.mxl --layout "Vn I 8va / Vla / Vc" -o strings.mxl

  A rule file, a studio-sized section, the tune named:
    rewriter expand lantern.mxl --layout broad.toml --ensemble studio --tune P2

  Every sketch of a folder, with the reports for another program:
    rewriter expand *.mxl --layout broad.toml --out-dir out --report out.json
""",
)
@click.argument("sketches", nargs=-1, type=FILE, metavar="SKETCH...")
@layout_option(PLACE)
@ensemble_option(PLACE)
@option(
    "--out-of-range",
    group=PLACE,
    type=click.Choice(["keep", "octave", "rest", "refuse"]),
    metavar="POLICY",
    help="Notes beyond a section's range: keep them and report, octave (move them), rest, "
    "or refuse to write.  [default: as the layout says, else keep]",
)
@option(
    "--tune",
    group=READ,
    default="",
    metavar="WHICH",
    help='The tune: Flute, P2, or "P1 staff 2 voice 1".  [default: the only part, or the one '
    "named like a tune]",
)
@option(
    "--chords",
    group=READ,
    type=click.Choice(["top", "divide"]),
    metavar="top|divide",
    help="Chords in the tune: the top note, or the section divided note by note.  "
    "[default: as the layout says, else top]",
)
@option(
    "--keep-sketch", group=KEEP, is_flag=True, help="Put the short score under the strings."
)
@option("--keep-lyrics", group=KEEP, is_flag=True, help="Keep the words sung to the tune.")
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
    "--report",
    "report_target",
    group=WRITE,
    type=FILE,
    metavar="FILE.json",
    help="Write the report as JSON too.",
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
    report_target: Path | None,
    force: bool,
    **settings: Any,
) -> int:
    """Write full string scores from short scores.

    Each SKETCH is a MusicXML file (.musicxml, .xml, .mxl) with a tune on one
    staff. The layout says which section plays the tune in which octave: in a
    stack, "/" goes down an octave and "+" shares one. The report goes to the
    terminal.
    """
    settings = {name: "" if value is None else value for name, value in settings.items()}
    _check_usage(sketches, settings["layout"], out, out_dir)
    targets = [_target_of(sketch, out, out_dir) for sketch in sketches]
    _check_distinct(sketches, targets)
    rules = [Path(settings[name]) for name in ("layout", "ensemble")]
    inputs = (*sketches, *(rule for rule in rules if rule.suffix == ".toml"))
    if report_target:
        check_report(report_target, force=force, taken=[*inputs, *targets])
    _check_rules(settings["layout"], settings["ensemble"])
    jobs = [
        Job(sketch, target, settings, force, inputs, makes_folder=out_dir is not None)
        for sketch, target in zip(sketches, targets, strict=True)
    ]
    outcomes = _work(jobs)
    _tell(outcomes)
    if report_target and any(outcome.report for outcome in outcomes):
        write_report(outcomes, report_target)
    return _status(outcomes)


def _check_usage(
    sketches: Sequence[Path], layout: str, out: Path | None, out_dir: Path | None
) -> None:
    if not sketches:
        refuse_usage("no sketch is named")
    if not layout.strip():
        refuse_usage(
            "--layout is missing",
            "name a layout, a file or a stack; rewriter rules layouts lists what is shipped",
        )
    if out and out_dir:
        refuse_usage("-o and --out-dir exclude each other", "name one of them")
    if out and len(sketches) > 1:
        refuse_usage(
            f"-o names one file for {len(sketches)} sketches", "name a folder with --out-dir"
        )


def _check_rules(layout: str, ensemble: str) -> None:
    """Refuse a layout that cannot be read once, and not again for every sketch."""
    from rewriter.rulefiles.loading import load_ensemble, resolve_layout

    resolve_layout(layout, load_ensemble(ensemble))


def _target_of(sketch: Path, out: Path | None, out_dir: Path | None) -> Path:
    return out or (out_dir or Path()) / f"{sketch.stem}-strings.musicxml"


def _check_distinct(sketches: Sequence[Path], targets: Sequence[Path]) -> None:
    """Refuse two sketches that would be written to one file, before any work is done."""
    first: dict[Path, Path] = {}
    for sketch, target in zip(sketches, targets, strict=True):
        other = first.setdefault(target, sketch)
        if other is not sketch:
            refuse_usage(
                f"{other} and {sketch} would both become {target}",
                "expand them one by one with -o",
            )


def _work(jobs: Sequence[Job]) -> list[Outcome]:
    """Do all jobs, and let those that run finish their score when interrupted."""
    shown = len(jobs) > 1 and is_terminal(sys.stderr)
    with closing(do_all(jobs)) as work:
        return list(with_progress(work, len(jobs), shown=shown))


def _count_written(outcomes: Iterable[Outcome]) -> int:
    return sum(outcome.report is not None for outcome in outcomes)


def _tell(outcomes: Sequence[Outcome]) -> None:
    """Reports to stdout, refusals to stderr, in the order of the sketches."""
    from rewriter.reporting.text import WIDTH, as_text

    width = WIDTH
    if is_terminal(sys.stdout):
        width = max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns))
    for number, outcome in enumerate(outcomes):
        if outcome.report:
            gap = "\n" if number else ""
            say(gap + as_text(outcome.report, str(outcome.target), width))
        else:
            complain(outcome.refusal)
            if outcome.quotation and is_terminal(sys.stderr):
                complain(outcome.quotation)
    if len(outcomes) > 1:
        say("\n" + _total(outcomes) + "\n")


def _total(outcomes: Sequence[Outcome]) -> str:
    from rewriter.reporting.text import count_findings

    written = _count_written(outcomes)
    refused = len(outcomes) - written
    findings = [finding for each in outcomes if each.report for finding in each.report.findings]
    also = f", {refused} refused" if refused else ""
    return f"{len(outcomes)} sketches: {written} written{also}; {count_findings(findings)}"


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
