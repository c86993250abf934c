"""``rewriter rank``: which layouts suit a tune best, and in which key."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.options import (
    FILE,
    bars_option,
    ensemble_option,
    option,
    registers_option,
    tune_option,
)
from rewriter.cli.project_jobs import with_defaults
from rewriter.cli.streams import STREAM, read_stdin, say
from rewriter.cli.usage import refuse_usage

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

READ = "Reading the sketch"
CHOOSE = "What is ranked"
SHOW = "Output"


@click.command(
    cls=GroupedCommand,
    epilog="""
Examples:
  Every shipped layout, in every key within a fourth:
    rewriter rank lantern.musicxml

  In which key do the cellos sing the second statement best:
    rewriter rank lantern.musicxml --layouts cellos-alone --statement 2

  Three octaves without basses, in D or Eb:
    rewriter rank lantern.musicxml --levels 3 --without Db --keys D,Eb
""",
)
@click.argument("sketch", type=FILE, metavar="SKETCH")
@tune_option(READ)
@bars_option(READ)
@option(
    "--statement",
    group=READ,
    type=click.IntRange(0),
    default=0,
    metavar="NUMBER",
    help="Only this statement of the tune, as rewriter survey numbers them.",
)
@option(
    "--layouts",
    group=CHOOSE,
    multiple=True,
    metavar="NAMES",
    help='Only these layouts: names, .toml files or stacks, between commas: "violas-alone, '
    'Vn I / Vc".  [default: all there are]',
)
@option(
    "--levels",
    group=CHOOSE,
    default="",
    metavar="NUMBERS",
    help='Only layouts of so many octaves: "2,3".',
)
@option(
    "--keys",
    group=CHOOSE,
    default="",
    metavar="KEYS",
    help='Only in these keys: "D, Eb".  [default: all within a fourth up and down]',
)
@option(
    "--without",
    group=CHOOSE,
    default="",
    metavar="SECTIONS",
    help='No layout in which one of these plays: "Db".',
)
@ensemble_option(CHOOSE)
@registers_option(CHOOSE)
@option("--json", "as_json", group=SHOW, is_flag=True, help="Print all of it as JSON instead.")
@click.pass_context
def command(
    context: click.Context,
    sketch: Path,
    tune: str,
    bars: str,
    statement: int,
    layouts: Sequence[str],
    levels: str,
    keys: str,
    without: str,
    ensemble: str,
    registers: str,
    as_json: bool,
) -> None:
    """Rank layouts for the tune of a sketch, among as many octaves.

    Each stands in the octave where expand would put it. Ranked as octaves are
    compared: fewest notes out of range, the layout's condition, the weakest
    level; then by how even the players are over the octaves. Beside each stands
    what speaks against it.
    """
    from rewriter.verbs.rank import rank

    settings = {"ensemble": ensemble, "registers": registers or ""}
    found = with_defaults(context, settings)
    source = read_stdin() if sketch == STREAM else sketch
    seen = rank(
        source,
        layouts=[each for text in layouts for each in _listed(text)],
        levels=_numbers(levels),
        keys=_listed(keys),
        without=_listed(without),
        bars=bars,
        statement=statement,
        tune=tune,
        **found,
    )
    if as_json:
        import msgspec

        say(msgspec.json.format(msgspec.json.encode(seen), indent=2).decode() + "\n")
    else:
        from rewriter.cli.telling import terminal_width
        from rewriter.reporting.rank_text import rank_as_text

        say(rank_as_text(seen, terminal_width()))


def _listed(text: str) -> list[str]:
    """What stands between commas."""
    return [each.strip() for each in text.split(",") if each.strip()]


def _numbers(text: str) -> list[int]:
    listed = _listed(text)
    if wrong := [each for each in listed if not each.isascii() or not each.isdigit()]:
        refuse_usage(f'--levels: "{wrong[0]}" is no number', "write it like 2,3")
    return [int(each) for each in listed]
