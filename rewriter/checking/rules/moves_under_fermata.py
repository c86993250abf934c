"""A line that begins a note while the others hold under a fermata."""

from rewriter.checking.places import Places
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.placing.facts import MovesOn


def say(fact: MovesOn, at: Places, _: Parameters) -> Said:
    """Say who plays on."""
    return Said(
        place=at.note(fact.player, fact.note),
        text="plays on under a fermata that others hold; in the sketch, put the fermata where "
        "all of them hold, or let this line hold too",
        sounds=at.name(fact.player, fact.note),
    )


RULE = Rule(
    id="moves-under-fermata",
    title="line plays on under a fermata",
    why="A fermata stands over all parts; nobody knows whether to wait before the next note.",
    instead="Put the fermata on the last note that is played while it lasts, or let all hold.",
    source="common practice, no source",
    severity="warning",
    about=MovesOn,
    say=say,
    parameters=NONE,
)
