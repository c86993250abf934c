"""A line that passes to another section while it is out of its register."""

from rewriter.checking.handovers import limit_text, until_text
from rewriter.checking.places import Places
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.placing.facts import RunHandedOver


def say(fact: RunHandedOver, at: Places, _: Parameters) -> Said:
    """Say who takes it, until when, and past which limit."""
    until = until_text(fact.first, fact.last, at)
    return Said(
        place=at.note(fact.player, fact.first),
        text=f"handed over to {fact.receiver.key} here{until}; "
        f"the line goes {limit_text(fact.rule)}",
        sounds=at.name(fact.player, fact.first),
    )


RULE = Rule(
    id="handed-over",
    title="line handed over",
    why="The layout asks for it; two sections must agree on how the line passes between them.",
    instead="Look at the joint, and at the dynamics on both sides of it.",
    source="common practice, no source",
    severity="advice",
    about=RunHandedOver,
    say=say,
    parameters=NONE,
)
