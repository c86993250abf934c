"""``rewriter parts``: from a score to the parts on the stands."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from rewriter.cli.checks import check_cue_notes
from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.options import (
    FILE,
    dry_run_option,
    force_option,
    no_copy_option,
    no_tacet_option,
    option,
    quiet_option,
    remove_earlier_option,
)
from rewriter.cli.part_lines import Leftovers, as_lines, part_files
from rewriter.cli.project_jobs import with_defaults
from rewriter.cli.streams import STREAM, complain, read_stdin, say
from rewriter.cli.usage import refuse_usage
from rewriter.cli.writing import settle_stopped_runs

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from rewriter.verbs.parts import Part

SHOW = "What the parts show"
WRITE = "Output"


@click.command(
    cls=GroupedCommand,
    epilog="""
Examples:
  One file for each section:
    rewriter parts lantern-strings.musicxml --out-dir parts

  Cue notes before entries after eight bars of rest or more:
    rewriter parts lantern-strings.musicxml --out-dir parts --cue-notes 8

  A score from another program; no sheets for those who do not play:
    rewriter parts overture.mxl --out-dir parts --no-tacet
""",
)
@click.argument("score", type=FILE, metavar="SCORE")
@option(
    "--cue-notes",
    group=SHOW,
    type=click.INT,
    default=0,
    metavar="BARS",
    help="Cue notes: what another section plays before an entry after so many bars of rest "
    "or more.  [default: none]",
)
@no_tacet_option(SHOW)
@option(
    "--out-dir",
    group=WRITE,
    type=FILE,
    metavar="DIR",
    help="The folder for the parts; made if it is not there. Required.",
)
@remove_earlier_option(WRITE)
@no_copy_option(WRITE)
@dry_run_option(WRITE)
@force_option(WRITE)
@quiet_option(WRITE)
@click.pass_context
def command(
    context: click.Context,
    /,
    score: Path,
    cue_notes: int,
    no_tacet: bool,
    out_dir: Path | None,
    remove_earlier: bool,
    copy: bool,
    dry_run: bool,
    force: bool,
    quiet: bool,
) -> int:
    """Write a part for each section of a score.

    SCORE is a MusicXML file (.musicxml, .xml, .mxl), this tool's or another
    program's. Bars are numbered as in the score; tempo and rehearsal marks
    stand in every part; long rests become multi-bar rests. "-" is stdin.
    """
    from rewriter.cli.main import DONE
    from rewriter.musicxml.together import DRY_RUN
    from rewriter.verbs.parts import earlier_parts, parts, stage_parts, write_parts

    check_cue_notes(cue_notes)
    if out_dir is None:
        refuse_usage("--out-dir is missing", "name the folder for the parts")
    here = {"cue_notes": cue_notes, "copy": copy}
    cue_notes, copy = with_defaults(context, here, quiet=quiet).values()
    source = read_stdin() if score == STREAM else score
    made = parts(source, cue_notes=cue_notes, tacet=not no_tacet)
    _warn_of_what_is_to_settle(made)
    if not dry_run:
        settle_stopped_runs([out_dir])
    leftovers = Leftovers(earlier_parts(out_dir, made), remove_earlier)
    files = part_files(made, out_dir, copy=copy)
    manner: Any = {"force": force, "inputs": (score,), "copy": copy}
    if dry_run:
        list(stage_parts(DRY_RUN, made, out_dir, **manner))
    else:
        write_parts(made, out_dir, remove=leftovers.going, **manner)
    if not quiet:
        say(as_lines(files, leftovers, dry=dry_run))
    if dry_run and not quiet:
        say("nothing was written\n")
    return DONE


def _warn_of_what_is_to_settle(made: Sequence[Part]) -> None:
    """Say which parts have words in them that are for whoever settles conflicts."""
    from rewriter.merging.settling import OPENING, to_settle

    found = {part.name: number for part in made if (number := to_settle(part.data))}
    if found:
        said = ", ".join(f"{name} ({number})" for name, number in found.items())
        complain(f'"{OPENING}" stands in {said}; settle it in the score and take the words out')
