"""``rewriter manual``: the manual page, made from the help."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import click

from rewriter import __version__
from rewriter.cli.grouping import UNGROUPED, GroupedCommand, options_by_group
from rewriter.cli.streams import say

if TYPE_CHECKING:
    from collections.abc import Iterator


@click.command(
    cls=GroupedCommand,
    epilog="""
Examples:
  rewriter manual > ~/.local/share/man/man1/rewriter.1
  man rewriter
""",
)
@click.pass_context
def command(context: click.Context) -> None:
    """Print the manual page, for the program man.

    It has the help of every command, its options and examples.
    """
    root = context.find_root()
    say(manual_page(root))


def manual_page(root: click.Context) -> str:
    """The manual page of all commands, in the notation of troff's ``man`` macros.

    Args:
        root: context of the whole program.
    """
    program = root.command
    summary, _, more = _texts(program)
    lines = [
        f'.TH REWRITER 1 "" "rewriter {__version__}"',
        ".SH NAME",
        f"rewriter \\- {_plain(summary[:1].lower() + summary[1:])}",
        ".SH SYNOPSIS",
        ".B rewriter",
        ".I COMMAND \\fR...",
        ".SH DESCRIPTION",
        *_paragraphs(f"{summary}.", more),
    ]
    if isinstance(program, click.Group):
        for name in program.list_commands(root):
            found = program.get_command(root, name)
            if found is not None:
                lines += _command(found, click.Context(found, info_name=name, parent=root))
    lines += _typed(program.epilog or "", ".SH")
    return "\n".join(lines) + "\n"


def _command(found: click.Command, context: click.Context) -> Iterator[str]:
    summary, stop, more = _texts(found)
    yield f".SH {_plain(context.command_path.upper())}"
    arguments = (
        param.make_metavar(context)
        for param in found.get_params(context)
        if isinstance(param, click.Argument)
    )
    yield f".B {_plain(context.command_path)}"
    yield f".RI [ OPTIONS ] \\ {_plain(' '.join(arguments))}".rstrip("\\ ")
    yield from _paragraphs(summary + stop, more)
    for heading, records in options_by_group(found, context).items():
        if heading == UNGROUPED:  # which is --help, everywhere
            continue
        yield f".SS {_plain(heading)}"
        for names, said in records:
            yield from (".TP", f".B {_plain(names)}", _plain(said))
    yield from _typed(found.epilog or "")


def _texts(found: click.Command) -> tuple[str, str, str]:
    """The first sentence of the help, its full stop, and what follows."""
    first, _, more = (found.help or "").partition("\n\n")
    sentence = " ".join(first.split())
    return sentence.rstrip("."), "." if sentence.endswith(".") else "", more


def _paragraphs(first: str, more: str) -> Iterator[str]:
    for paragraph in (first, *more.split("\n\n")):
        if paragraph.strip():
            yield from (".PP", _plain(" ".join(paragraph.split())))


_SIGNS: Final = str.maketrans({"\\": "\\e", "-": "\\-", "'": "\\(aq", "`": "\\(ga"})


def _typed(text: str, macro: str = ".SS") -> Iterator[str]:
    """What stands at the end of a help, as it stands there."""
    heading, _, rest = text.strip("\n").partition(":\n")
    if not rest:
        return
    yield f"{macro} {_plain(heading.upper() if macro == '.SH' else heading)}"
    yield ".nf"
    yield from (_plain(line) for line in rest.splitlines())
    yield ".fi"


def _plain(text: str) -> str:
    """A line of text with nothing in it that troff would read as its own."""
    said = text.translate(_SIGNS)
    return f"\\&{said}" if said[:1] in {".", "\\"} and text[:1] in {".", "'"} else said
