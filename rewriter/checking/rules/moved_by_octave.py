"""Notes out of range that were moved by octaves."""

from rewriter.checking.places import Places
from rewriter.checking.ranges import brought_back, octaves_text
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.placing.facts import BroughtBack


def say(fact: BroughtBack, at: Places, _: Parameters) -> Said | None:
    """Say how far they were moved, and which note made it necessary."""
    if fact.shift is None:
        return None
    return brought_back(fact, at, f"moved {octaves_text(fact.shift)}")


RULE = Rule(
    id="moved-by-octave",
    title="notes moved by octaves into the range",
    why='The layout asks for notes out of range to be moved (out_of_range = "octave"); the '
    "line leaps there, and another section may already have that octave.",
    instead="Look whether the leap can be heard; hand the line over, or choose another octave "
    "for the stack.",
    source="common practice, no source",
    severity="warning",
    about=BroughtBack,
    say=say,
    parameters=NONE,
)
