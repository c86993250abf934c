"""``rewriter check``: finished scores looked at."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rewriter.cli.checks import check_tune_told_once
from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.known_file import read_known, write_known
from rewriter.cli.options import (
    FILE,
    ensemble_of_house_option,
    house_option,
    option,
    quiet_option,
    section_option,
    sketch_of_score_option,
    tune_of_score_option,
)
from rewriter.cli.project_jobs import with_defaults
from rewriter.cli.score_files import score_files
from rewriter.cli.streams import STREAM, complain, read_stdin
from rewriter.cli.told_of_scores import Telling
from rewriter.cli.usage import refuse_usage

if TYPE_CHECKING:
    from pathlib import Path

READ = "Reading the score"
WANT = "What is wanted"
SHOW = "Output"


@click.command(
    cls=GroupedCommand,
    short_help="Say what is not in order in finished scores.",
    epilog="""
Examples:
  Everything a score is looked at for, as a house wants it that records:
    rewriter check lantern-strings.musicxml --house recording

  A part whose name tells nothing:
    rewriter check old-score.mxl --section "P3=Vla"

  Whether the parts on the stands still say what the score says:
    rewriter check lantern-strings.musicxml --parts parts

  Rules about the tune too, of a score whose first violins have it:
    rewriter check overture.mxl --tune "Vn I"

  A folder, of which only what is new since the last time is told:
    rewriter check scores/ --house recording --accept known.json
""",
)
@click.argument("scores", type=FILE, nargs=-1, required=True, metavar="SCORE|FOLDER...")
@section_option(READ)
@sketch_of_score_option(READ)
@tune_of_score_option(READ)
@ensemble_of_house_option(READ)
@option(
    "--parts",
    group=READ,
    type=FILE,
    metavar="DIR",
    help="Hold the score against its parts in the folder DIR, notes and marks.",
)
@house_option(WANT)
@option(
    "--accept",
    group=WANT,
    type=FILE,
    metavar="FILE",
    help="Write down in FILE what is found, as known; once it is there, tell only what is new. "
    "With --force, write it anew.",
)
@option("--force", group=WANT, is_flag=True, help="Write the file of --accept anew.")
@option("--json", "as_json", group=SHOW, is_flag=True, help="Print all of it as JSON instead.")
@quiet_option(SHOW)
@click.pass_context
def command(
    context: click.Context,
    scores: tuple[Path, ...],
    sections: tuple[str, ...],
    sketch: Path | None,
    tune: str,
    ensemble: str,
    parts: Path | None,
    house: str,
    accept: Path | None,
    force: bool,
    as_json: bool,
    quiet: bool,
) -> int:
    """Look at finished scores, whoever made them, and say what is not in order.

    Ranges, strings, clefs, signs, divisions, slurs, dynamics, names, and what else
    the house wants: each finding with its bar and what to do. Of a folder, all
    scores below it. The exit status is 1 where there are errors, 2 where a score
    could not be read.
    """
    from rewriter.cli.looks import Look, look_at_all
    from rewriter.verbs.check import house_and_ensemble

    check_tune_told_once(sketch, tune)
    if force and not accept:
        refuse_usage("--force without --accept does nothing", "name the file with --accept")
    found = with_defaults(context, {"ensemble": ensemble, "house": house}, quiet=quiet)
    house_and_ensemble(found["house"], found["ensemble"])  # its faults are told once
    known = read_known(accept) if accept and not force else None
    settings = found | {"sections": sections, "sketch": sketch, "tune": tune, "parts": parts}
    looks = [
        Look(
            file,
            settings if known is None else settings | {"known": known.get(file.name, {})},
            read_stdin() if file == STREAM else None,
        )
        for file in score_files(scores)
    ]
    telling = Telling(as_json=as_json, quiet=quiet, number=len(looks))
    signs: dict[str, dict[str, int]] = {}
    for looked in look_at_all(looks):
        telling.tell(looked)
        if looked.checked and accept:
            signs[looked.score.name] = looked.checked.signs
    telling.end()
    if accept and known is None:
        write_known(accept, signs)
        complain(f"{accept}: written; from now on these findings are known")
    return telling.status
