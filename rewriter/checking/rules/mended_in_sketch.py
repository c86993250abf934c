"""Something in the sketch that the standard does not allow."""

from rewriter.checking.places import Places
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.sketch.faults import Mended


def say(fact: Mended, at: Places, _: Parameters) -> Said:
    """Say what it is and what was done."""
    where = f"in part {fact.part}, " if fact.part else ""
    return Said(at.in_sketch(fact.bar, fact.onset, fact.part), where + fact.said)


RULE = Rule(
    id="mended-in-sketch",
    title="what the standard does not allow, mended",
    why="Other programs may not open a score with an ending numbered 0, a metronome mark "
    "without a note, a direction without a sign, or a strength below zero.",
    instead="Look at the place in the score, correct the sketch and export it again.",
    source="W3C MusicXML 4.0: ending-number, note-type-value, non-negative-decimal, "
    "direction-type",
    severity="advice",
    about=Mended,
    say=say,
    parameters=NONE,
)
