"""A bar that is longer or shorter than its metre."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Annotated

import msgspec

from rewriter.checking.bar_lengths import WrongLength, wrong_lengths
from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.problems import exact_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished


class Settings(Parameters, frozen=True):
    """What of this rule may be set."""

    spare: Annotated[
        float,
        msgspec.Meta(ge=0, description="quarters by which a bar may differ from the metre"),
    ] = 1 / 32


def find(score: Finished, settings: Settings) -> Iterator[WrongLength]:
    """Bars of a wrong length."""
    return wrong_lengths(score, Fraction(settings.spare))


def say(fact: WrongLength, at: Finished, _: Settings) -> Said:
    """Say how long it is, and how long it should be."""
    length, wants = exact_text(fact.length), exact_text(fact.wants)
    quarters = "quarter" if fact.length == 1 else "quarters"
    who = "its metre has" if fact.of_metre else "the other parts have"
    parts = "is 1 more part" if fact.more == 1 else f"are {fact.more} more parts"
    more = f", and so {parts}" if fact.more else ""
    remedy = "take out" if fact.length > fact.wants else "put in"
    return Said(
        place=at.place(fact.part, fact.bar),
        text=f"{length} {quarters} long{more}, where {who} {wants}; {remedy} "
        f"{exact_text(abs(fact.length - fact.wants))}, or change the metre",
        sounds=length,
        wants=wants,
    )


RULE = Rule(
    id="bar-length",
    title="bar of another length than its metre",
    why="Whoever counts comes out too early or too late, and every part that is extracted or "
    "played from the file goes apart from the others there.",
    instead="Compare the bar with its source, and put in or take out what is wrong.",
    source="W3C MusicXML 4.0, <measure> and <duration>; which bars may be shorter is common "
    "practice, no source",
    severity="error",
    about=WrongLength,
    say=say,
    parameters=Settings(),
    find=find,
)
