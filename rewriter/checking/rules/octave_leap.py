"""A line that changes its octave where one passage follows another."""

from rewriter.checking.places import Places
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.placing.facts import LineLeaps
from rewriter.rulefiles.stack_lines import octave_word


def say(fact: LineLeaps, at: Places, _: Parameters) -> Said:
    """Say from where to where it leaps."""
    text = (
        f"the line leaps from {octave_word(fact.before)} to {octave_word(fact.after)} of the "
        "tune"
    )
    return Said(at.bar_of_section(fact.section, fact.bar), text)


RULE = Rule(
    id="octave-leap",
    title="line leaps by octaves between passages",
    why="The tune goes on and the section does not go on with it: what is one melody sounds "
    "like two.",
    instead="Anchor one of the two stacks so that the section stays where it is, or leave the "
    "leap where a phrase ends.",
    source="common practice, no source",
    severity="advice",
    about=LineLeaps,
    say=say,
    parameters=NONE,
)
