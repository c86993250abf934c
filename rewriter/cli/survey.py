"""``rewriter survey``: the tune of a sketch, before it is given to anybody."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.options import FILE, bars_option, ensemble_option, option, tune_option
from rewriter.cli.project_jobs import with_defaults
from rewriter.cli.streams import STREAM, read_stdin, say

if TYPE_CHECKING:
    from pathlib import Path

READ = "Reading the sketch"
SHOW = "Output"


@click.command(
    cls=GroupedCommand,
    epilog="""
Examples:
  Where the tune lies, leaps, breathes and comes back, and who could sing it:
    rewriter survey lantern.musicxml

  Eight bars of it, against a chamber orchestra:
    rewriter survey lantern.musicxml --bars 9-16 --ensemble chamber
""",
)
@click.argument("sketch", type=FILE, metavar="SKETCH")
@tune_option(READ)
@bars_option(READ)
@ensemble_option(READ)
@option("--json", "as_json", group=SHOW, is_flag=True, help="Print all of it as JSON instead.")
@click.pass_context
def command(
    context: click.Context, sketch: Path, tune: str, bars: str, ensemble: str, as_json: bool
) -> None:
    """Study the tune of a sketch.

    Compass, tessitura by time, leaps of a fifth and more, how much of it rises,
    phrases, and what of it comes back; then a picture of it against the registers
    of every section, at each octave.
    """
    from rewriter.verbs.survey import survey

    found = with_defaults(context, {"ensemble": ensemble})
    source = read_stdin() if sketch == STREAM else sketch
    seen = survey(source, tune=tune, ensemble=found["ensemble"], bars=bars)
    if as_json:
        import msgspec

        say(msgspec.json.format(msgspec.json.encode(seen), indent=2).decode() + "\n")
    else:
        from rewriter.cli.telling import terminal_width
        from rewriter.reporting.survey_text import survey_as_text

        say(survey_as_text(seen, terminal_width()))
