"""Hand corrections of a score carried into the score that is made anew."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.comparing.contents import UNMOVED
from rewriter.merging.accounting import account
from rewriter.merging.applying import Applied, applied
from rewriter.merging.conflict_score import conflict_score
from rewriter.merging.deciding import decided
from rewriter.merging.edits import edits_of
from rewriter.merging.reprinting import Reprinting
from rewriter.merging.reshaping import Shape
from rewriter.merging.results import Merged
from rewriter.merging.settling import with_words
from rewriter.merging.three import Scores, Three
from rewriter.problems import Refused
from rewriter.scores.score import read_score

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rewriter.merging.decisions import Prefer
    from rewriter.scores.score import Score
    from rewriter.theory.fifths import Interval

_ENOUGH: Final = 0.5
"""Of the bars of the shorter score, so many have to be found in the other."""


def merge(  # noqa: PLR0913 - three scores, and six things that can be asked
    base: Score,
    edited: Score,
    new: Score,
    *,
    by: Interval | Sequence[Interval] | None = UNMOVED,
    prefer: Prefer = "",
    keep_breaks: bool = False,
    bars: Mapping[int, int] | None = None,
    marks: bool = False,
    with_conflict_score: bool = False,
) -> Merged:
    """Carry what was done to a score into the score that takes its place.

    Args:
        base: as the tool made it before; not changed.
        edited: as somebody has worked on it since, saved by any program; not changed.
        new: as the tool makes it now; not changed. Bars that nothing is carried into keep
            their bytes.
        by: the new score is so much higher than the base; one interval for each bar of the
            new score where they differ; None to find it.
        prefer: whose version stands where both changed the same thing: ``hand`` or ``new``;
            empty for the new one's notes and the hand's marks.
        keep_breaks: breaks of pages and systems are carried too.
        bars: indexes of the base's bars to those of the new score's, rising; found where not
            given.
        marks: words in the score say where a conflict is to be settled.
        with_conflict_score: a score of what lost in conflicts is made too.

    Raises:
        Refused: fewer than half of the bars can be found again, or the lengths of the three
            have no common division that music needs.
    """
    try:
        three = Three(Scores(base, edited, new), by, bars, with_breaks=keep_breaks)
    except ValueError:
        raise Refused(
            "the lengths of its notes and those of the new score have no common division",
            "look at its <divisions>",
            file=edited.name,
        ) from None
    _require_enough(three, given=bars is not None)
    edits, gone = edits_of(three)
    decisions = decided(three, edits, prefer)
    steps = [step for one in decisions for step in one.steps]
    as_it_is = Applied(new.packed or new.source, [], Shape.as_it_is(new))
    done = applied(three, steps) if steps else as_it_is
    again = Reprinting(three, decisions, gone, done.shape)
    score = read_score(done.data, unnamed=new.name) if steps else new
    found = account(three, decisions, done, score, gone)
    data, lost = done.data, b""
    if marks and found.conflicts:
        data = with_words(score, found.conflicts)
    if with_conflict_score and found.conflicts:
        lost = conflict_score(three, score, done.shape, found.conflicts)
    return Merged(
        score=data,
        **found.lists,
        print_again=again.found(),
        conflict_score=lost,
        moved=_moved(three, done.shape),
    )


def _moved(three: Three, shape: Shape) -> list[Interval]:
    """Of each bar of the merged score; a bar put in by hand went with the one before it."""
    was = {place: bar for bar, place in shape.now.items()}
    found: list[Interval] = []
    for place in range(len(shape.now) + len(shape.put)):
        bar = was.get(place)
        found.append(three.by(bar) if bar is not None else (found or [three.by(0)])[-1])
    return found


def _require_enough(three: Three, *, given: bool) -> None:
    for found, other, name, remedy in (
        (three.edited_bars, three.edited, "the edited score", "give the base it was made from"),
        (three.new_bars, three.new, "the new one", 'say which is which: "1-8=1-8, 9-40=13-44"'),
    ):
        if given and other is three.new:
            continue
        count = min(
            max((len(part.bars) for part in parts), default=0) for parts in (three.base, other)
        )
        known = len((found.bars.keys() | found.candidates.keys()) - found.unlike)
        if known < _ENOUGH * count:
            raise Refused(
                f"{known} of {count} bars of the score as it was made are found in {name}",
                remedy,
                file=three.scores.edited.name,
            )
