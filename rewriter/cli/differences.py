"""``rewriter differences``: two scores compared as music."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.options import FILE, option
from rewriter.cli.streams import STREAM, read_stdin, say
from rewriter.cli.usage import refuse_usage

if TYPE_CHECKING:
    from pathlib import Path

COUNT = "What counts"
SHOW = "Output"
NONE = 0
"""Exit status: both are the same music."""
SOME = 1
"""Exit status: they are not."""


@click.command(
    cls=GroupedCommand,
    epilog="""
Examples:
  What somebody has changed in a score, however it was saved:
    rewriter differences lantern-strings.musicxml lantern-edited.musicxml

  Which pages of a part are to be printed again:
    rewriter differences old/lantern-Vla.mxl lantern-Vla.mxl --changed-pages
""",
)
@click.argument("a", type=FILE, metavar="A")
@click.argument("b", type=FILE, metavar="B")
@option(
    "--keep-breaks",
    group=COUNT,
    is_flag=True,
    help="Breaks of pages and systems count.  [default: where a program breaks is no music]",
)
@option(
    "--changed-pages",
    "only_pages",
    group=SHOW,
    is_flag=True,
    help="Print which pages of B are not as in A, where its file says where pages end, and "
    "which bars of each part.",
)
@option("--json", "as_json", group=SHOW, is_flag=True, help="Print all of it as JSON instead.")
def command(a: Path, b: Path, keep_breaks: bool, only_pages: bool, as_json: bool) -> int:
    """Show what two scores do not have alike, as music.

    Notes, ties, slurs, marks, dynamics, words, clefs, 8va lines, barlines, names
    and titles, bar by bar: what A has and what B has. What a program changes when
    it saves a file is no difference; a kind of thing that B has nowhere is named
    once. Any MusicXML scores will do, and so will parts. "-" is stdin. The exit
    status is 0 for the same music, 1 where there are differences.
    """
    from rewriter.verbs.differences import differences

    if a == STREAM == b:
        refuse_usage('the scores are both "-"', "name a file for one of them")
    if only_pages and as_json:
        refuse_usage("--changed-pages and --json exclude each other", "name one of them")
    sources = [read_stdin() if score == STREAM else score for score in (a, b)]
    found = differences(*sources, keep_breaks=keep_breaks)
    if as_json:
        import msgspec

        say(msgspec.json.format(msgspec.json.encode(found), indent=2).decode() + "\n")
    else:
        from rewriter.cli.telling import terminal_width
        from rewriter.reporting.differences_text import changed_as_text, differences_as_text

        say((changed_as_text if only_pages else differences_as_text)(found, terminal_width()))
    return NONE if found.are_none else SOME
