"""Whole bars put in and taken out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.editing.cutting import inner_of, space_before
from rewriter.editing.edit_kinds import Behind, InBar, InPart, Inserted, OfBar, Removed
from rewriter.editing.fitting import in_line, said_again
from rewriter.editing.places import by_bars, inside_at
from rewriter.editing.standing import standing_before
from rewriter.musicxml.escaping import attribute

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rewriter.editing.edit_kinds import Edit
    from rewriter.scores.score import Score


def bars_put_in(score: Score, before: int, bars: Mapping[int, Sequence[bytes]]) -> list[Edit]:
    """Edits that put whole bars into parts.

    Args:
        score: not changed.
        before: index of the bar they stand before; the one after the last for the end.
        bars: of each part by its index, ``<measure>`` in UTF-8 each, printed numbers and all;
            ``fitting.fitted`` makes those of another score fit. In a score sorted by bars,
            number and width are those of the first part.

    Raises:
        ValueError: a score sorted by bars is given bars for some of its parts, or not as many
            for all.
    """
    if not by_bars(score):
        return [
            Inserted(InPart(part), before, _beside(score, part, before, bar))
            for part, more in sorted(bars.items())
            for bar in more
        ]
    if set(bars) != set(range(len(score.parts))) or len({*map(len, bars.values())}) > 1:
        raise ValueError("a score sorted by bars takes bars for all its parts")
    columns = zip(*(bars[part] for part in range(len(score.parts))), strict=True)
    return [Inserted(Behind(), before, _of_all(score, before, column)) for column in columns]


def _of_all(score: Score, before: int, column: Sequence[bytes]) -> bytes:
    """A bar of all parts."""
    beside = inside_at(score, OfBar(min(before, len(score.outline) - 1)))
    space = beside.children[0].space if beside.children else b""
    end = space_before(score.text.data, beside.span.stop, beside.span.start)
    opening = column[0][: column[0].index(b">") + 1].replace(b"/>", b">")
    parts = [
        b"%b<part%b>%b</part>"
        % (space, attribute("id", part.id), inner_of(_beside(score, index, before, bar)))
        for index, (part, bar) in enumerate(zip(score.parts, column, strict=True))
    ]
    return opening + b"".join(parts) + end + b"</measure>"


def _beside(score: Score, part: int, before: int, bar: bytes) -> bytes:
    last = len(score.parts[part].bars) - 1
    return in_line(score, InBar(part, min(before, last)), bar) if last >= 0 else bar


def bars_taken_out(
    score: Score, first: int, count: int, parts: Sequence[int] | None = None
) -> list[Edit]:
    """Edits that take whole bars out of parts.

    What they say of clef, key, metre and the like, the next bar says in their stead.

    Args:
        score: not changed.
        first: index of the first.
        count: how many.
        parts: indexes; None for all.

    Raises:
        ValueError: a score sorted by bars is to lose bars of some parts.
    """
    every = range(len(score.parts))
    of = every if parts is None else parts
    gone = range(first, first + count)
    edits: list[Edit]
    if by_bars(score):
        if set(of) != set(every):
            raise ValueError("a score sorted by bars loses bars of all its parts")
        edits = [Removed(Behind(), bar) for bar in gone]
    else:
        edits = [Removed(InPart(part), bar) for part in of for bar in gone]
    for part in of:
        if first + count < len(score.parts[part].bars):
            standing = standing_before(score.parts[part], first)
            edits += said_again(score, InBar(part, first + count), standing)
    return edits
