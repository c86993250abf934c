"""Notes out of range that were replaced by rests."""

from rewriter.checking.places import Places
from rewriter.checking.ranges import brought_back
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.placing.facts import BroughtBack


def say(fact: BroughtBack, at: Places, _: Parameters) -> Said | None:
    """Say how many there are, and which note made it necessary."""
    return brought_back(fact, at, "silenced") if fact.shift is None else None


RULE = Rule(
    id="silenced",
    title="notes out of range silenced",
    why='The layout asks for notes out of range to be left out (out_of_range = "rest"); the '
    "line is thinner there, or gone.",
    instead="See that another section has the notes; hand the line over, or choose another "
    "octave for the stack.",
    source="common practice, no source",
    severity="warning",
    about=BroughtBack,
    say=say,
    parameters=NONE,
)
