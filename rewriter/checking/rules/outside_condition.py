"""A layout played outside the register for which a treatise gives it."""

from collections.abc import Iterator
from typing import Annotated

from msgspec import Meta

from rewriter.checking.at import At
from rewriter.checking.finished import Finished
from rewriter.checking.heard_conditions import outside_conditions_in
from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.placing.facts import OutsideCondition
from rewriter.theory.pitch import name_of_midi


class Settings(Parameters, frozen=True):
    """How much outside."""

    most: Annotated[
        float,
        Meta(
            ge=0,
            lt=1,
            description="share of a line's time that may lie outside in a finished score; what "
            "expanding makes is held to every note",
        ),
    ] = 1 / 3
    untold: Annotated[
        bool,
        Meta(description="true: look at doublings of a finished score whose tune is not told"),
    ] = False


def find(score: Finished, settings: Settings) -> Iterator[OutsideCondition]:
    """Doublings of a finished score that are a treatise's, outside its registers.

    Where nobody has told the tune, they may be anything, and good editions are full of them.
    """
    if score.tune is None and not settings.untold:
        return iter(())
    return outside_conditions_in(score, settings.most)


def say(fact: OutsideCondition, at: At, _: Settings) -> Said:
    """Say how much of the line lies outside, and what the treatise says."""
    side, wanted = ("above", "or below") if fact.above else ("below", "or above")
    limit = name_of_midi(fact.limit)
    why = fact.condition.because.strip().rstrip(".")
    # Examples, after a semicolon, are for `rewriter rules`.
    book = fact.condition.source.split(";")[0].strip()
    source = f" ({book})" if book else ""
    sounds = at.name(fact.player, fact.note)
    return Said(
        place=at.note(fact.player, fact.note),
        text=f"{sounds} is {side} {limit}, as is {_percent(fact.share)} of this line; "
        f"{why}{source}",
        sounds=sounds,
        wants=f"{limit} {wanted}",
    )


def _percent(share: float) -> str:
    """A share in words that never round to none or all.

    >>> _percent(1.0), _percent(0.999), _percent(0.25), _percent(0.001)
    ('all', '99%', '25%', '1%')
    """
    if share == 1:
        return "all"
    return f"{min(max(round(100 * share), 1), 99)}%"


RULE = Rule(
    id="outside-condition",
    title="outside the register the treatise asks for",
    why="Treatises give many doublings for one register only; in another they cover each other "
    "or do not blend. The layout says which, and why.",
    instead="Choose another octave or another layout where most of the line lies outside; "
    "leave single notes.",
    source="the layout's own, which the finding names",
    severity="advice",
    about=OutsideCondition,
    say=say,
    parameters=Settings(),
    find=find,
)
