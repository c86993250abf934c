"""A slur, tie, hairpin or line of the sketch with one end only."""

from rewriter.checking.places import Places
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.sketch.faults import OpenEnd


def say(fact: OpenEnd, at: Places, _: Parameters) -> Said:
    """Say which end is missing."""
    said = "begins here and never ends" if fact.begins else "ends here and never began"
    text = f"a {fact.what} {said} in this voice; left out"
    return Said(at.in_sketch(fact.bar, fact.onset), text)


RULE = Rule(
    id="open-in-sketch",
    title="slur, tie or line with one end in the sketch",
    why="Every line must close what it opens; where the other end lies nobody can tell.",
    instead="Close it in the sketch, within its voice, and export it again.",
    source="W3C MusicXML 4.0: start and stop of spanning elements",
    severity="advice",
    about=OpenEnd,
    say=say,
    parameters=NONE,
)
