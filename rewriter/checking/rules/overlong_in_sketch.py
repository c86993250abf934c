"""Notes of another staff of the sketch that lie beyond the tune's bar."""

from rewriter.checking.places import Places
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.sketch.faults import Overlong


def say(fact: Overlong, at: Places, _: Parameters) -> Said:
    """Say how many are left out."""
    many = f"{fact.notes} notes lie" if fact.notes > 1 else "a note lies"
    text = (
        f"{many} beyond the tune's bar in another staff; left out, look at the metre of the "
        "sketch"
    )
    return Said(at.in_sketch(fact.bar), text)


RULE = Rule(
    id="overlong-in-sketch",
    title="bar of another staff longer than the tune's",
    why="All parts of a score share their bars; what lies beyond the tune's has no place.",
    instead="Make the bars of the sketch's staves equally long, and export it again.",
    source="W3C MusicXML 4.0, <measure>",
    severity="warning",
    about=Overlong,
    say=say,
    parameters=NONE,
)
