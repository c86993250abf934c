"""``rewriter expand``: from short scores to string scores."""

import shutil
import sys
from collections.abc import Callable, Iterable, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any, TypeVar

import click

from rewriter.cli.batch import Asked, Job, Outcome, do_all, with_progress
from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.options import FILE, ensemble_option, layout_option, option, plan_option
from rewriter.cli.report_file import check_report, write_report
from rewriter.cli.streams import complain, is_terminal, say
from rewriter.cli.usage import refuse_usage
from rewriter.problems import Refused

T = TypeVar("T")

PLACE = "Layout"
READ = "Reading the sketch"
KEY = "Key"
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

  A whole cue by its plan, a tone lower, with parts for the stands:
    rewriter expand lantern.mxl --plan arc.toml --by "down M2" --parts parts

  A rule file, a studio-sized section, the tune named:
    rewriter expand lantern.mxl --layout broad.toml --ensemble studio --tune P2

  Every sketch of a folder, with the reports for another program:
    rewriter expand *.mxl --layout broad.toml --out-dir out --report out.json
""",
)
@click.argument("sketches", nargs=-1, type=FILE, metavar="SKETCH...")
@layout_option(PLACE)
@plan_option(PLACE)
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
    "--parts",
    "parts_dir",
    group=WRITE,
    type=FILE,
    metavar="DIR",
    help="Write a part for each section too, into this folder.",
)
@option(
    "--cues",
    group=WRITE,
    type=click.INT,
    default=0,
    metavar="BARS",
    help="Cue notes in the parts, before an entry after so many bars of rest.  [default: none]",
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
    parts_dir: Path | None,
    cues: int,
    report_target: Path | None,
    force: bool,
    up: bool,
    down: bool,
    **settings: Any,
) -> int:
    """Write full string scores from short scores.

    Each SKETCH is a MusicXML file (.musicxml, .xml, .mxl) with a tune on one
    staff. The layout says which section plays the tune in which octave: in a
    stack, "/" goes down an octave and "+" shares one. A plan does so passage by
    passage. The report goes to the terminal.
    """
    settings = {name: "" if value is None else value for name, value in settings.items()}
    settings["direction"] = "up" if up else "down" if down else "nearest"
    _check_usage(sketches, out, out_dir)
    _check_together(settings, both_ways=up and down, cues=cues, parts_dir=parts_dir)
    targets = [_target_of(sketch, out, out_dir) for sketch in sketches]
    _check_distinct(sketches, targets)
    rules = [Path(settings[name]) for name in ("layout", "plan", "ensemble")]
    inputs = (*sketches, *(rule for rule in rules if rule.suffix == ".toml"))
    if report_target:
        check_report(report_target, force=force, taken=[*inputs, *targets])
    _check_rules(settings["layout"], settings["plan"], settings["ensemble"])
    asked = Asked(parts_dir, cues) if parts_dir else None
    jobs = [
        Job(sketch, target, settings, force, inputs, out_dir is not None, asked)
        for sketch, target in zip(sketches, targets, strict=True)
    ]
    outcomes = _work(jobs)
    _tell(outcomes)
    if report_target and any(outcome.report for outcome in outcomes):
        write_report(outcomes, report_target)
    return _status(outcomes)


def _check_together(
    settings: dict[str, Any], *, both_ways: bool, cues: int, parts_dir: Path | None
) -> None:
    """Refuse options that contradict each other, or that mean nothing alone."""
    for one, other in (("layout", "plan"), ("key", "by")):
        if settings[one] and settings[other]:
            refuse_usage(f"--{one} and --{other} exclude each other", "name one of them")
    if both_ways:
        refuse_usage("--up and --down exclude each other", "name one of them")
    if settings["direction"] != "nearest" and not (settings["key"] or settings["by"]):
        refuse_usage(
            f"--{settings['direction']} says which way, but not where to", "add --key or --by"
        )
    if cues < 0:
        refuse_usage("--cues after fewer than no bars cannot be", "name a number of bars")
    if cues and not parts_dir:
        refuse_usage("--cues is about parts", "name a folder for them with --parts")


def _check_usage(sketches: Sequence[Path], out: Path | None, out_dir: Path | None) -> None:
    if not sketches:
        refuse_usage("no sketch is named")
    if out and out_dir:
        refuse_usage("-o and --out-dir exclude each other", "name one of them")
    if out and len(sketches) > 1:
        refuse_usage(
            f"-o names one file for {len(sketches)} sketches", "name a folder with --out-dir"
        )


def _check_rules(layout: str, plan: str, ensemble: str) -> None:
    """Refuse a rule that cannot be read once, and not again for every sketch."""
    from rewriter.rulefiles.loading import load_ensemble, resolve_layout
    from rewriter.rulefiles.plan_files import load_plan

    forces = _said_of("--ensemble", load_ensemble, ensemble)
    if layout:
        _said_of("--layout", resolve_layout, layout, forces)
    if plan:
        _said_of("--plan", load_plan, plan, forces)


def _said_of(option_name: str, read: Callable[..., T], *given: Any) -> T:
    """Read a rule; what is wrong with a text that is no file is said of its option."""
    try:
        return read(*given)
    except Refused as refusal:
        raise refusal.within(option_name) from None


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
            if outcome.parts:
                say(f"\n{outcome.parts} parts written\n")
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
