"""Lines that double each other and have one letter with two alterations."""

from collections.abc import Iterator

from rewriter.checking.doubled import Unlike, unlike
from rewriter.checking.doubled_words import against, more, named, spot
from rewriter.checking.finished import Finished
from rewriter.checking.rule import NONE, Parameters, Rule, Said


def find(score: Finished, _: Parameters) -> Iterator[Unlike]:
    """Lines that have another alteration than those they double, winds too."""
    return unlike(score, score.disagreements.in_notes(of_all=True), {"alteration"}, "")


def say(fact: Unlike, at: Finished, _: Parameters) -> Said:
    """Show both."""
    first = fact.moments[0]
    own, theirs = named(first.own), named(first.theirs)
    return Said(
        spot(at, fact),
        f"{own} is played {against(at, fact)} {theirs}{more(at, fact)}; compare both with the "
        "source",
        sounds=own,
        wants=theirs if fact.led else "",
    )


RULE = Rule(
    id="doubling-alteration",
    title="doubling lines differ by an accidental",
    why="Where lines in unison or octaves have one letter with two alterations, somebody has "
    "nearly always forgotten a sign, and the rehearsal stops there.",
    instead="Compare both with the source; only there stands which is right.",
    source="common practice, no source",
    severity="warning",
    about=Unlike,
    say=say,
    parameters=NONE,
    find=find,
)
