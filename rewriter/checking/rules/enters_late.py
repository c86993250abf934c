"""A line that begins late, since its players still hold a note."""

from rewriter.checking.places import Places
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.placing.facts import BegunLate


def say(fact: BegunLate, at: Places, _: Parameters) -> Said:
    """Say how many notes are left out."""
    many = f"{fact.left_out} notes" if fact.left_out > 1 else "a note"
    return Said(
        place=at.bar(fact.player, fact.bar),
        text=f"still holds a note of the passage before; {many} left out until it ends",
    )


RULE = Rule(
    id="enters-late",
    title="line begun late",
    why="A passage begins within a bar while its players still hold a note of the one before; "
    "they cannot play both, and the beginning of the new line is missing.",
    instead="Begin the passage where the note ends, or give its beginning to somebody else.",
    source="common practice, no source",
    severity="warning",
    about=BegunLate,
    say=say,
    parameters=NONE,
)
