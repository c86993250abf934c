"""The command ``rewriter``: its commands, loaded when called, and its exit status."""

import gc
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from typing import NoReturn

import click

from rewriter import __version__
from rewriter.cli.grouping import TypedEpilog
from rewriter.cli.streams import complain, is_terminal, silence
from rewriter.cli.usage import refuse_curly_quotes, refuse_usage, suggest, word_usage
from rewriter.problems import Refused
from rewriter.texts import LONGEST_LIST, one_row

DONE = 0
"""Everything was done, and no finding is an error."""
FOUND_ERRORS = 1
"""Everything was done, and at least one finding is an error."""
COULD_NOT = 2
"""The command line or the input cannot be worked with; nothing was written for it."""
INTERRUPTED = 130
"""Stopped by Ctrl-C; files of the run are all there or none is."""

SELDOM = 200_000
"""New objects after which the garbage collector looks for cycles: loading the modules makes a
quarter of them, and all of them stay."""

COMMANDS = {
    "look": "rewriter.cli.look",
    "survey": "rewriter.cli.survey",
    "rank": "rewriter.cli.rank",
    "expand": "rewriter.cli.expand",
    "parts": "rewriter.cli.parts",
    "check": "rewriter.cli.check",
    "enforce": "rewriter.cli.enforce",
    "regenerate": "rewriter.cli.regenerate",
    "differences": "rewriter.cli.differences",
    "rules": "rewriter.cli.rules",
    "completion": "rewriter.cli.completion",
    "help": "rewriter.cli.help",
    "manual": "rewriter.cli.manual",
}
"""Command → the module whose ``command`` it is, in the order of the help."""


class Commands(TypedEpilog, click.Group):
    """A group that imports a command's module when it is needed."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - as click has it
        """Names of the commands, in the order of the help."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002 - as click has it
        """The command of a name, imported now; None when there is none."""
        module = COMMANDS.get(cmd_name)
        if module is None:
            return None
        command: click.Command = import_module(module).command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that is called, or the nearest spelling of one that is not there."""
        name = args[0]
        if name not in COMMANDS and not name.startswith("-"):
            near = suggest(name, COMMANDS)
            refuse_usage(f'there is no command "{name}"', near or "see rewriter --help")
        return super().resolve_command(ctx, args)


@click.group(
    cls=Commands,
    invoke_without_command=True,
    subcommand_metavar="COMMAND ...",
    options_metavar="",
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="""
Exit status:
  0  done
  1  done, and the report lists errors in the music
  2  could not; nothing was written for the file that is named
""",
)
@click.version_option(__version__, "-V", "--version", message="rewriter %(version)s")
@click.pass_context
def program(context: click.Context) -> None:
    """Turn a sketch into playable string parts.

    A short score with the tune on one staff and a layout go in, as MusicXML and
    TOML. A full string score comes out as MusicXML, with a report on every
    section.
    """
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


def run(args: Sequence[str]) -> int:
    """Run one command line and give its exit status.

    Everything that may go wrong with the input or the request ends here, as a line on
    stderr; anything else is a fault of the tool and keeps its traceback.
    """
    try:
        refuse_curly_quotes(args)
        status = program.main(list(args), "rewriter", standalone_mode=False)
    except Refused as refusal:
        complain(str(refusal))
        if refusal.quotation and is_terminal(sys.stderr):
            complain(refusal.quotation)
    except click.ClickException as fault:
        complain(one_row(word_usage(fault, args), LONGEST_LIST))
    except (click.Abort, KeyboardInterrupt):
        complain("rewriter: interrupted; nothing is half written")
        return INTERRUPTED
    except SystemExit as stopped:
        # click's way out when the reader of the help has gone; and its way to give completions
        return DONE if stopped.code == 1 else int(stopped.code or DONE)
    except MemoryError:
        complain("rewriter: this takes more memory than there is; take fewer bars at a time")
    except OSError as fault:
        complain(f"{fault.filename or 'rewriter'}: {fault.strerror or fault}")
        silence(sys.stdout)  # else the interpreter stumbles over it once more on its way out
    else:
        return status if isinstance(status, int) else DONE
    return COULD_NOT


def main() -> NoReturn:
    """Entry of the installed command."""
    gc.set_threshold(SELDOM)
    status = run(sys.argv[1:])
    _leave(status)


def _leave(status: int) -> NoReturn:
    """End the process as it stands: freeing everything piece by piece takes longer than a page.

    Processes and files of a run are ended and closed where they were begun, so nothing is
    left to be tidied up. A profiler or debugger that looks on still gets its last word.
    """
    if sys.getprofile() is None and sys.gettrace() is None:
        with suppress(OSError, ValueError):  # a stream that is full or closed: as Python has it
            for stream in (sys.stdout, sys.stderr):
                if stream is not None:
                    stream.flush()
            os._exit(status)
    sys.exit(status)
