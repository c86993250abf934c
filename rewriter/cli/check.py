"""``rewriter check``: finished scores looked at."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.options import FILE, ensemble_of_house_option, house_option, option
from rewriter.cli.project_jobs import with_defaults
from rewriter.cli.streams import STREAM, read_stdin, say

if TYPE_CHECKING:
    from pathlib import Path

READ = "Reading the score"
WANT = "What is wanted"
SHOW = "Output"


@click.command(
    cls=GroupedCommand,
    epilog="""
Examples:
  Everything a score is looked at for, as a house wants it that records:
    rewriter check lantern-strings.musicxml --house recording

  A part whose name tells nothing:
    rewriter check old-score.mxl --section "P3=Vla"
""",
)
@click.argument("score", type=FILE, metavar="SCORE")
@option(
    "--section",
    "sections",
    group=READ,
    multiple=True,
    metavar="PART=SECTION",
    help='Which part is which section where the score does not make it plain: "P3=Vla", '
    '"Bassi=Vc+Db". May be given several times.',
)
@ensemble_of_house_option(READ)
@house_option(WANT)
@option("--json", "as_json", group=SHOW, is_flag=True, help="Print all of it as JSON instead.")
@click.pass_context
def command(
    context: click.Context,
    score: Path,
    sections: tuple[str, ...],
    ensemble: str,
    house: str,
    as_json: bool,
) -> int:
    """Look at a finished score, whoever made it, and say what is not in order.

    Ranges, strings, clefs, signs, divisions, slurs, dynamics, names, and what else
    the house wants: each finding with its bar and what to do. The exit status is 1
    where there are errors.
    """
    from rewriter.verbs.check import check

    found = with_defaults(context, {"ensemble": ensemble, "house": house})
    source = read_stdin() if score == STREAM else score
    checked = check(source, house=found["house"], ensemble=found["ensemble"], sections=sections)
    if as_json:
        import msgspec

        say(msgspec.json.format(msgspec.json.encode(checked), indent=2).decode() + "\n")
    else:
        from rewriter.cli.telling import terminal_width
        from rewriter.reporting.checked_text import checked_as_text

        say(checked_as_text(checked, terminal_width()))
    return 1 if checked.has_errors else 0
