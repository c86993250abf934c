"""What crosses the edge of a bar that is put in: slurs, hairpins and their like."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.editing.edits import edited
from rewriter.merging.marking import Marking
from rewriter.merging.reshaping import Shape
from rewriter.scores.score import read_score

if TYPE_CHECKING:
    from collections.abc import Collection, Container, Iterable, Iterator, Sequence

    from rewriter.comparing.contents import Contents
    from rewriter.comparing.things import Thing
    from rewriter.merging.three import Three
    from rewriter.scores.score import Score


def crossing(parts: Iterable[Contents], put: Container[int]) -> Iterator[tuple[int, Thing]]:
    """Spans of a score that have one end in bars that are put in elsewhere.

    Args:
        parts: of the score.
        put: indexes of the bars.

    Yields:
        Index of the part, and the span.
    """
    for part, contents in enumerate(parts):
        for bar in contents.bars:
            for thing in bar.things:
                if thing.until is not None and (thing.at.bar in put) != (
                    thing.until.bar in put
                ):
                    yield part, thing


def without_crossing(
    three: Three, source: Score, parts: Sequence[Contents], put: Collection[int]
) -> Score:
    """A score without the ends of such spans in the bars that are put in elsewhere.

    They are put in by themselves, connected by numbers of the score they come into.

    Args:
        three: the scores.
        source: the edited or the new one.
        parts: of it.
        put: indexes of the bars that are put in.
    """
    found = list(crossing(parts, put)) if put else []
    if not found:
        return source
    marking = Marking(three, source, Shape.as_it_is(source))
    for part, thing in found:
        if thing.at.bar in put:
            marking.take_end(part, thing.at, thing, "start")
        elif thing.until is not None:
            marking.take_end(part, thing.until, thing, "stop")
    return read_score(edited(source, marking.edits()), unnamed=source.name)
