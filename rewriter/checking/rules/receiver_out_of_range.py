"""A line that did not pass to another section, since that could not play it."""

from rewriter.checking.handovers import limit_text, until_text
from rewriter.checking.places import Places
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.placing.facts import ReceiverOutOfRange


def say(fact: ReceiverOutOfRange, at: Places, _: Parameters) -> Said:
    """Say who cannot play it, until when, and what can be done."""
    until = until_text(fact.first, fact.last, at)
    return Said(
        place=at.note(fact.player, fact.first),
        text=f"the line goes {limit_text(fact.rule)} here{until}, out of the range of "
        f"{fact.receiver.key}; not handed over, name another section",
        sounds=at.name(fact.player, fact.first),
    )


RULE = Rule(
    id="receiver-out-of-range",
    title="line not handed over, the other section cannot play it",
    why="A line is not taken from who can play it to be given to who cannot.",
    instead="Name a section in whose range the line lies there.",
    source="common practice, no source",
    severity="warning",
    about=ReceiverOutOfRange,
    say=say,
    parameters=NONE,
)
