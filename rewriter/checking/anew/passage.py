"""A passage of a finished score laid out anew, as edits of the bars that change."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.checking.anew.bringing_in import brought_in
from rewriter.checking.anew.closing import closed
from rewriter.checking.anew.told_again import told_at_start, told_behind
from rewriter.checking.finished import Finished
from rewriter.editing.cutting import inside_of
from rewriter.editing.edits import InBar, Refilled, edited
from rewriter.scores.score import read_score

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rewriter.checking.anew.regions import Region
    from rewriter.editing.edits import Edit
    from rewriter.scores.score import Score


class Piece(NamedTuple):
    """A region and what it gets.

    Attributes:
        region: what changes.
        source: the expansion its music comes from.
    """

    region: Region
    source: Finished


def rewritten(score: Finished, pieces: Iterable[Piece]) -> list[Edit]:
    """Edits that give regions their new music, each bar that changes filled anew.

    Args:
        score: not changed.
        pieces: what changes.

    Raises:
        NotCertain: other music leads over a border in a way that cannot be closed.
    """
    now = score
    for batch in _one_of_each_part(pieces):
        before = now
        now = _after(now, (e for one, _ in batch for e in closed(now, one)))
        now = _after(now, (e for one, new in batch for e in brought_in(now, new, one)))
        now = _after(
            now, (e for one, new in batch for e in told_at_start(now, before, new, one))
        )
        now = _after(now, (e for one, _ in batch for e in told_behind(now, before, one)))
    return list(_changed(score.score, now.score))


def _one_of_each_part(pieces: Iterable[Piece]) -> Iterator[list[Piece]]:
    """Regions in the order of time, in batches none of which has two of one part."""
    left = sorted(pieces, key=lambda one: (one.region.start, one.region.part))
    while left:
        batch: dict[int, Piece] = {}
        for one in left:
            batch.setdefault(one.region.part, one)
        yield [*batch.values()]
        left = [one for one in left if batch[one.region.part] is not one]


def _after(score: Finished, edits: Iterable[Edit]) -> Finished:
    made_of = list(edits)
    if not made_of:
        return score
    made = Finished(read_score(edited(score.score, made_of)), score.ensemble)
    made.players = score.players
    made.take_over(score)
    return made


def _changed(before: Score, now: Score) -> Iterator[Edit]:
    """The bars that are not as they were, with all that is in them."""
    for part, (old, new) in enumerate(zip(before.parts, now.parts, strict=True)):
        for bar, (was, is_now) in enumerate(zip(old.bars, new.bars, strict=True)):
            if was != is_now:
                where = InBar(part, bar)
                span = now.place(*where)
                if span is not None:
                    inside = inside_of(now.text.data, span.start)
                    yield Refilled(where, now.text.data[slice(*inside.span)])
