"""Where the places of edits are in the text of a score."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.editing.cutting import Child, Inside, inside_of, space_before
from rewriter.editing.edit_kinds import Behind, InHeader, InPart, OfBar
from rewriter.scores.text import Span, id_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.editing.edit_kinds import InBar
    from rewriter.scores.score import Score
    from rewriter.scores.text import Outer

_PARTS: Final = frozenset((b"part", b"measure"))


def by_bars(score: Score) -> bool:
    """True for a score whose text is sorted by bars."""
    return any(outer.tag == b"measure" for outer in score.outline)


def header_of(score: Score) -> Inside:
    """What stands before the parts."""
    return inside_of(score.text.data, 0, until=_PARTS)


def inside_at(score: Score, where: InHeader | InPart | OfBar | Behind) -> Inside:
    """The inside of a place that is no bar of a part.

    Args:
        score: not changed.
        where: the place.

    Raises:
        ValueError: the score has no such place.
    """
    text = score.text.data
    if isinstance(where, InHeader):
        found = header_of(score)
        return _inside_header(text, found, where.of) if where.of else found
    if isinstance(where, Behind):
        outline = score.outline
        around = Span(outline[0].span.start, outline[-1].span.stop)
        return Inside(_children(text, [outer.span for outer in outline], b"", 0), around)
    outer = _outer(score, where)
    tag = b"measure" if outer.tag == b"part" else b"part"
    spans = [span for _, span in outer.inner]
    children = _children(text, spans, tag, outer.inside.start)
    if outer.opening.endswith(b"/>"):
        return Inside(children, outer.span, outer.tag)
    return Inside(children, outer.inside)


def _children(text: bytes, spans: Sequence[Span], tag: bytes, start: int) -> list[Child]:
    return [Child(span, tag, space_before(text, span.start, start)) for span in spans]


def _outer(score: Score, where: InPart | OfBar) -> Outer:
    if isinstance(where, InPart):
        wanted = score.parts[where.part].id
        for outer in score.outline:
            if outer.tag == b"part" and id_in(outer.opening) == wanted:
                return outer
        raise ValueError("the score is sorted by bars")
    outer = score.outline[where.bar]
    if outer.tag != b"measure":
        raise ValueError("the score is sorted by parts")
    return outer


def _inside_header(text: bytes, header: Inside, tag: str) -> Inside:
    for child in header.children:
        if child.tag.decode() == tag:
            return inside_of(text, child.span.start)
    raise ValueError(f"the score has no <{tag}> before its parts")


def missing_place(score: Score, where: InBar) -> int:
    """Where a part that a time-wise bar leaves out would stand in it."""
    for part in range(where.part - 1, -1, -1):
        if span := score.place(part, where.bar):
            return span.stop
    for part in range(where.part + 1, len(score.parts)):
        if span := score.place(part, where.bar):
            return span.start
    raise ValueError(f"bar {where.bar} holds no part")
