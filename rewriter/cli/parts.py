"""``rewriter parts``: from a score to the parts on the stands."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rewriter.cli.checks import check_cue_notes
from rewriter.cli.grouping import GroupedCommand
from rewriter.cli.options import FILE, option
from rewriter.cli.streams import complain, say
from rewriter.cli.usage import refuse_usage

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
@option(
    "--no-tacet",
    group=SHOW,
    is_flag=True,
    help="No part for a section that plays nothing.  [default: a part that says TACET]",
)
@option(
    "--out-dir",
    group=WRITE,
    type=FILE,
    metavar="DIR",
    help="The folder for the parts; made if it is not there. Required.",
)
@option(
    "--force",
    group=WRITE,
    is_flag=True,
    help="Replace files that are not the tool's own last output.",
)
def command(
    score: Path, cue_notes: int, no_tacet: bool, out_dir: Path | None, force: bool
) -> int:
    """Write a part for each section of a score.

    SCORE is a MusicXML file (.musicxml, .xml, .mxl), this tool's or another
    program's. Bars are numbered as in the score; tempo and rehearsal marks
    stand in every part; long rests become multi-bar rests.
    """
    from rewriter.cli.main import DONE
    from rewriter.musicxml.stopped_runs import settle
    from rewriter.verbs.parts import parts, write_parts

    check_cue_notes(cue_notes)
    if out_dir is None:
        refuse_usage("--out-dir is missing", "name the folder for the parts")
    made = parts(score, cue_notes=cue_notes, tacet=not no_tacet)
    for line in settle([out_dir]):
        complain(line)
    targets = write_parts(made, out_dir, force=force, inputs=(score,))
    say(as_lines(made, targets))
    return DONE


def as_lines(made: Sequence[Part], targets: Sequence[Path]) -> str:
    """One line for each part: where it is, how long it is, what stands in it."""
    width = max((len(str(target)) for target in targets), default=0) + 1
    lines = [
        f"{f'{target}:':{width}} {_said(part)}\n"
        for part, target in zip(made, targets, strict=True)
    ]
    return "".join(lines) or "every section is tacet; no part was written\n"


def _said(part: Part) -> str:
    said = [_counted(part.bars, "bar")]
    if part.tacet:
        return ", ".join([*said, "tacet"])
    if part.multi_bar_rests:
        said.append(_counted(part.multi_bar_rests, "multi-bar rest"))
    if part.cue_notes:
        said.append(f"cue notes before {_counted(part.cue_notes, 'entry', 'entries')}")
    return ", ".join(said)


def _counted(number: int, one: str, many: str = "") -> str:
    return f"{number} {one}" if number == 1 else f"{number} {many or one + 's'}"
