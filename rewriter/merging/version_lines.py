"""A line that says which version a part is, where it is not as it was."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from rewriter.editing.bar_marking import bar_marked
from rewriter.editing.edits import InBar, edited
from rewriter.editing.music import Sign
from rewriter.musicxml.escaping import escaped

if TYPE_CHECKING:
    from collections.abc import Container

    from rewriter.scores.score import Score


def with_version_line(score: Score, parts: Container[str], line: str) -> bytes:
    """A score with a line over the first bar of some parts.

    Args:
        score: not changed.
        parts: ids of those that are not as they were.
        line: such as a date.
    """
    direction = (
        b'<direction placement="above"><direction-type><words font-style="italic">%b</words>'
        b"</direction-type></direction>"
    ) % escaped(line)
    edits = [
        edit
        for place, part in enumerate(score.parts)
        if part.id in parts and part.bars
        for edit in bar_marked(score, InBar(place, 0), [Sign(Fraction(0), direction)])
    ]
    return edited(score, edits)
