"""The widest spacing of the tune, used more than once."""

from collections.abc import Iterator
from typing import Annotated, NamedTuple

from msgspec import Meta

from rewriter.checking.finished import Finished
from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.checking.tune_passages import runs_of


class Settings(Parameters, frozen=True):
    """What is wide."""

    levels: Annotated[
        int, Meta(ge=2, description="octaves from which on a spacing is one to be kept")
    ] = 3


class WideAgain(NamedTuple):
    """The widest spacing where it comes back.

    Attributes:
        time: when, in divisions from the start of the piece.
        first: when it was there first.
        levels: how many octaves it has.
        part: of its top line.
    """

    time: int
    first: int
    levels: int
    part: int


def find(score: Finished, settings: Settings) -> Iterator[WideAgain]:
    """Places where the widest spacing comes back in the same movement."""
    for movement in sorted({_movement(score, one.start) for one in score.tune_passages}):
        own = [one for one in score.tune_passages if _movement(score, one.start) == movement]
        widest = max(len(one.levels) for one in own)
        if widest < settings.levels:
            continue
        wide = [one for one in own if len(one.levels) == widest]
        first, *again = runs_of(score, [(one.start, one.stop) for one in wide])
        for start, _ in again:
            passage = next(one for one in wide if one.start == start)
            part = passage.levels[0][0].place.part
            yield WideAgain(start, first[0], widest, part)


def _movement(score: Finished, time: int) -> int:
    return score.movement(score.heard.bars.bar_at(time))


def say(fact: WideAgain, at: Finished, _: Settings) -> Said:
    """Say where it was before."""
    bars = at.heard.bars
    before = at.bar_text(bars.bar_at(fact.first), bars.bar_at(fact.time))
    place = at.place(fact.part, bars.bar_at(fact.time), fact.time)
    return Said(
        place,
        f"the tune is in {fact.levels} octaves, its widest spacing, as in {before} already; "
        "keep that for one place",
    )


RULE = Rule(
    id="widest-twice",
    title="widest spacing of the tune more than once",
    why="The widest spacing makes its effect once; the second time it is no longer the peak.",
    instead="Keep it for the peak, and score the other place a level narrower.",
    source="common practice, no source",
    severity="advice",
    about=WideAgain,
    say=say,
    parameters=Settings(),
    find=find,
    needs_tune=True,
)
