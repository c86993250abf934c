"""A held note that is struck again where its line moves to another staff or voice."""

from rewriter.checking.places import Places
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.placing.facts import StruckAgain


def say(fact: StruckAgain, at: Places, _: Parameters) -> Said:
    """Say that a tie is cut, and where the note is struck."""
    return Said(
        place=at.sign(fact.player, fact.where),
        text="a note held in the sketch is struck again, since the line goes on in another "
        "staff or voice; begin the passage where no note is held",
    )


RULE = Rule(
    id="struck-again",
    title="held note struck again",
    why="A tie joins notes of one voice on one staff. Where a passage begins under a held note "
    "and the line goes on in another, the tie is cut and the note sounds twice.",
    instead="Begin the passage where no note is held, or divide the section in the same way "
    "on both sides of the border.",
    source="W3C MusicXML 4.0, tie and tied",
    severity="warning",
    about=StruckAgain,
    say=say,
    parameters=NONE,
)
