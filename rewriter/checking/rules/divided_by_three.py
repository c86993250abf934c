"""A section that is divided by three or more."""

from typing import Annotated

from msgspec import Meta

from rewriter.checking.at import At
from rewriter.checking.divided import divided_by_many
from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.placing.facts import SectionDivided


class Settings(Parameters, frozen=True):
    """How many lines are many."""

    most: Annotated[int, Meta(ge=1, description="lines a section may have at a time")] = 2


def say(fact: SectionDivided, at: At, settings: Settings) -> Said | None:
    """Say by how many it is divided."""
    if fact.lines <= settings.most or fact.section.players % fact.lines == 0:
        return None
    text = (
        f"divided by {fact.lines}; sections rarely divide evenly so, let the section "
        f"leader say who plays what"
    )
    return Said(at.division(fact), text)


RULE = Rule(
    id="divided-by-three",
    title="section divided by three or more",
    why="Three parts are awkward, since sections are rarely divisible by three; of those that "
    "are, nothing is said.",
    instead="Let the section leader say who plays what, or name desks in the stack.",
    source="Rimsky-Korsakov, Principles of Orchestration (1922), ch. I, p. 7",
    severity="advice",
    about=SectionDivided,
    say=say,
    parameters=Settings(),
    find=divided_by_many,
)
