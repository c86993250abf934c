"""Layouts ranked for a tune, as plain text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.reporting.columns import align, count, wrap_hanging
from rewriter.reporting.table import percent
from rewriter.reporting.text import LABEL, WIDTH
from rewriter.rulefiles.stack_lines import octave_word

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.reporting.rank import Rank, RankedGroup, RankedLayout

NAMED = 5
"""How many of a group are told; of more layouts each only in its best key."""
NUMBERS = ("No", "One", "Two", "Three", "Four", "Five", "Six")
HEADINGS = ("Layout", "Key", "Octave", "Weakest", "", "Mean", "Players", "Balance", "By")
NARROWEST = 24
"""Columns that a row of what speaks against a layout needs."""
MARGIN = "      "


def rank_as_text(rank: Rank, width: int = WIDTH) -> str:
    """Word a ranking.

    Args:
        rank: what was found.
        width: columns; only a word or a row of a table that is longer goes beyond.

    Returns:
        Lines, each ended.
    """
    bars = f"bar{'s' if '-' in rank.bars else ''} {rank.bars}"
    layouts = {one.layout for group in rank.groups for one in group.layouts}
    keys = {one.by for group in rank.groups for one in group.layouts}
    first = (
        f"{rank.sketch}: {bars}, {count(len(layouts), 'layout')} in {count(len(keys), 'key')}"
    )
    blocks = [
        wrap_hanging(first, first="", rest="    ", width=width),
        list(_paragraphs(rank, width)),
        *(list(_group(group, width)) for group in rank.groups),
    ]
    return "\n".join("\n".join(block) + "\n" for block in blocks if block)


def _paragraphs(rank: Rank, width: int) -> Iterator[str]:
    left: dict[str, list[str]] = {}
    for one in rank.left_out:
        left.setdefault(one.why, []).append(f"{one.layout} {one.by}".strip())
    labelled = (
        ("Tune", rank.tune),
        ("Key", rank.key),
        (
            "Strength",
            ", ".join(f"{one.strength} {percent(one.time)}" for one in rank.strengths),
        ),
        ("Placed by", f"{rank.placed_by} registers"),
        ("Left out", "; ".join(f"{why}: {', '.join(names)}" for why, names in left.items())),
    )
    for label, text in labelled:
        if text:
            start = f"  {label:<{LABEL - 2}}"
            yield from wrap_hanging(text, first=start, rest=" " * LABEL, width=width)


def _group(group: RankedGroup, width: int) -> Iterator[str]:
    shown = _shown(group)
    named = NUMBERS[group.levels] if group.levels < len(NUMBERS) else str(group.levels)
    yield f"{named} level{'' if group.levels == 1 else 's'}"
    head, *rows = align([HEADINGS, *map(_row, shown)], right=frozenset({5, 6, 7}))
    yield f"  {head}"
    for one, row in zip(shown, rows, strict=True):
        yield f"  {row}"
        if one.against:
            said = f"against it: {'; '.join(one.against)}"
            room = max(width, NARROWEST)
            yield from wrap_hanging(said, first=MARGIN, rest=MARGIN, width=room)
    left = len({one.layout for one in group.layouts}) - len({one.layout for one in shown})
    if left:
        yield f"  and {count(left, 'other layout')}; --json has all, in every key"
    found = count(len(group.findings), "finding") if group.findings else "no findings"
    yield f"  The first, scored in full: {found}"


def _shown(group: RankedGroup) -> list[RankedLayout]:
    """The best key of each layout; of a single layout every key."""
    if len({one.layout for one in group.layouts}) == 1:
        return group.layouts
    best: dict[str, RankedLayout] = {}
    for one in group.layouts:
        best.setdefault(one.layout, one)
    return list(best.values())[:NAMED]


def _row(one: RankedLayout) -> tuple[str, ...]:
    return (
        one.layout,
        one.key,
        octave_word(one.octave),
        one.weakest,
        f"{one.weakest_sings:.2f}",
        f"{one.mean_sings:.2f}",
        f"{one.players:g}",
        percent(one.balance),
        one.by,
    )
