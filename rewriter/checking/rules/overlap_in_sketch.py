"""A note of the sketch that begins while the one before it still sounds."""

from rewriter.checking.places import Places
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.sketch.faults import Overlap


def say(fact: Overlap, at: Places, _: Parameters) -> Said:
    """Say that it is left out."""
    text = (
        "a note begins while the one before still sounds in the same voice; left out, "
        "look at the voices of the sketch"
    )
    return Said(at.in_sketch(fact.bar, fact.onset), text)


RULE = Rule(
    id="overlap-in-sketch",
    title="notes of one voice overlap in the sketch",
    why="One voice cannot sound two notes that are no chord; the later one is in no line.",
    instead="Give the sketch's notes the voices they belong to, and export it again.",
    source="W3C MusicXML 4.0, <voice>",
    severity="warning",
    about=Overlap,
    say=say,
    parameters=NONE,
)
