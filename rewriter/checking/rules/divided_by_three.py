"""A section that is divided by three or more."""

from typing import Annotated

from msgspec import Meta

from rewriter.checking.places import Places
from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.placing.facts import SectionDivided


class Settings(Parameters, frozen=True):
    """How many lines are many."""

    most: Annotated[int, Meta(ge=1, description="lines a section may have at a time")] = 2


def say(fact: SectionDivided, at: Places, settings: Settings) -> Said | None:
    """Say by how many it is divided."""
    if fact.lines <= settings.most:
        return None
    text = (
        f"divided by {fact.lines}; sections rarely divide evenly so, let the section "
        f"leader say who plays what"
    )
    return Said(at.first(fact.section, fact.note), text)


RULE = Rule(
    id="divided-by-three",
    title="section divided by three or more",
    why="Three parts are awkward, since sections are rarely divisible by three.",
    instead="Let the section leader say who plays what, or name desks in the stack.",
    source="Rimsky-Korsakov, Principles of Orchestration (1922), ch. I, p. 7",
    severity="advice",
    about=SectionDivided,
    say=say,
    parameters=Settings(),
)
