"""``rewriter look``: what there is in a sketch."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.options import FILE, ensemble_option, option, tune_option
from rewriter.cli.project_jobs import with_defaults
from rewriter.cli.streams import STREAM, read_stdin, say
from rewriter.cli.usage import refuse_usage

if TYPE_CHECKING:
    from pathlib import Path

READ = "Reading the sketch"
SHOW = "Output"


@click.command(
    cls=GroupedCommand,
    epilog="""
Examples:
  Bars, marks, keys, and which voice would be the tune:
    rewriter look lantern.musicxml

  The skeleton of a plan, its passages at the rehearsal marks:
    rewriter look lantern.musicxml --plan > arc.toml
""",
)
@click.argument("sketch", type=FILE, metavar="SKETCH")
@tune_option(READ)
@ensemble_option(READ)
@option(
    "--plan",
    "as_plan",
    group=SHOW,
    is_flag=True,
    help="Print the skeleton of a plan instead: a passage for each rehearsal mark, the "
    "layouts left to be filled in.",
)
@option("--json", "as_json", group=SHOW, is_flag=True, help="Print all of it as JSON instead.")
@click.pass_context
def command(
    context: click.Context, sketch: Path, tune: str, ensemble: str, as_plan: bool, as_json: bool
) -> None:
    """Show what there is in a sketch, before anything is decided.

    Bars and their printed numbers, rehearsal marks, metres, keys, tempo, words and
    layouts written in it; its voices with their compass, and which would be the
    tune and why. The first column of the voices is what --tune takes.
    """
    from rewriter.verbs.look import look

    if as_plan and as_json:
        refuse_usage("--plan and --json exclude each other", "name one of them")
    found = with_defaults(context, {"ensemble": ensemble})
    source = read_stdin() if sketch == STREAM else sketch
    seen = look(source, tune=tune, ensemble=found["ensemble"])
    if as_plan:
        say(seen.plan)
    elif as_json:
        import msgspec

        say(msgspec.json.format(msgspec.json.encode(seen), indent=2).decode() + "\n")
    else:
        from rewriter.cli.telling import terminal_width
        from rewriter.reporting.look_text import look_as_text

        say(look_as_text(seen, terminal_width()))
