"""A section that stays in its highest register for long."""

from typing import Annotated

from msgspec import Meta

from rewriter.checking.at import At
from rewriter.checking.limits import beyond_limits_in
from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.placing.facts import AtTheTop
from rewriter.theory.pitch import name_of_midi


class Settings(Parameters, frozen=True):
    """How long is not yet long."""

    most: Annotated[
        int, Meta(ge=0, description="bars a section may stay in its highest register")
    ] = 4


def say(fact: AtTheTop, at: At, settings: Settings) -> Said | None:
    """Say how many bars it is, and in which register."""
    if fact.bars <= settings.most:
        return None
    register = fact.player.section.registers[-1]
    limit = name_of_midi(register.from_midi)
    return Said(
        place=at.note(fact.player, fact.note),
        text=f"{fact.bars} bars in the {register.name} register ({limit} and above); "
        "give the section relief or hand the line over",
        sounds=at.name(fact.player, fact.note),
        wants=f"at most {settings.most} bars from {limit} up",
    )


RULE = Rule(
    id="long-at-the-top",
    title="long in the highest register",
    why="At the top of its range a section tires, and so does who listens.",
    instead="Give the section relief, or hand the line over.",
    source="common practice, no source",
    severity="advice",
    about=AtTheTop,
    say=say,
    parameters=Settings(),
    find=beyond_limits_in,
)
