"""A line that could not pass to another section, since that plays something else."""

from rewriter.checking.handovers import limit_text, until_text
from rewriter.checking.places import Places
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.placing.facts import ReceiverBusy


def say(fact: ReceiverBusy, at: Places, _: Parameters) -> Said:
    """Say who is busy, until when, and what can be done."""
    until = until_text(fact.first, fact.last, at)
    return Said(
        place=at.note(fact.player, fact.first),
        text=f"the line goes {limit_text(fact.rule)} here{until}, but {fact.receiver.key} is "
        "busy; not handed over, set leave = true or name another section",
        sounds=at.name(fact.player, fact.first),
    )


RULE = Rule(
    id="receiver-busy",
    title="line not handed over, the other section is busy",
    why="The line stays out of its section's register, where the layout wanted it to pass on.",
    instead="Let the other section leave its own line (leave = true), or name another.",
    source="common practice, no source",
    severity="warning",
    about=ReceiverBusy,
    say=say,
    parameters=NONE,
)
