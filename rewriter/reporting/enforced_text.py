"""What was mended in a finished score, and what was left, as plain text."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from rewriter.reporting.checked_text import bar_of, bar_text, count_flaws, said_flaw, said_taken
from rewriter.reporting.columns import count, wrap_hanging

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.reporting.enforced import Enforced


def enforced_as_text(enforced: Enforced, written_to: str, width: int, *, dry: bool) -> str:
    """Word what was done.

    Args:
        enforced: the score.
        written_to: the file that was written, or would be; empty where nothing is mended.
        width: columns; only a word longer than that goes beyond.
        dry: True when nothing was written.

    Returns:
        Lines, each ended.
    """
    lines = list(_head(enforced, written_to, width, dry=dry))
    for key, flaws in groupby(enforced.findings, key=bar_of):
        lines += ["", bar_text(*key)]
        for one in flaws:
            lines += wrap_hanging(said_flaw(one), first="  ", rest="      ", width=width)
    return "\n".join(lines) + "\n"


def _head(enforced: Enforced, written_to: str, width: int, *, dry: bool) -> Iterator[str]:
    mended = sum(one.mended for one in enforced.findings)
    left = [one for one in enforced.findings if not one.mended]
    became = "nothing to mend"
    if written_to:
        bars = count(len(enforced.changed), "bar")
        changed = f"{bars} and the part list" if enforced.part_list else bars
        done = "would be written" if dry else "written"
        became = f"{mended} mended, {changed} changed, {done} to {written_to}"
    said = f"{enforced.score}: {became}; left: {count_flaws(left)}"
    yield from wrap_hanging(said, first="", rest="    ", width=width)
    yield from said_taken(enforced.taken_text, enforced.tune, width)
