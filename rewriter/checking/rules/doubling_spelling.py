"""Sections that double each other and spell a note in two ways."""

from collections.abc import Iterator

from rewriter.checking.doubled import Led, Unlike, unlike
from rewriter.checking.doubled_notes import as_the_others
from rewriter.checking.doubled_words import against, more, named, spot
from rewriter.checking.finished import Finished
from rewriter.checking.rule import Mend, Rule, Said, Unmended


def find(score: Finished, settings: Led) -> Iterator[Unlike]:
    """Notes that a section spells otherwise than those it doubles."""
    found = score.disagreements.in_notes()
    return unlike(score, found, {"spelling"}, settings.leading)


def say(fact: Unlike, at: Finished, _: Led) -> Said:
    """Say how it is spelled here and there."""
    first = fact.moments[0]
    own, theirs = named(first.own), named(first.theirs)
    return Said(
        spot(at, fact),
        f"{own} is written {against(at, fact)} {theirs}{more(at, fact)}; spell them alike",
        sounds=own,
        wants=theirs if fact.led else "",
    )


def mend(score: Finished, fact: Unlike, _: Led) -> Mend | Unmended:
    """Spell it as the others do."""
    return as_the_others(score, fact)


RULE = Rule(
    id="doubling-spelling",
    title="doubling sections spell a note in two ways",
    why="Players tune by the letter, and in rehearsal nobody knows which note is spoken of. "
    "Half of what was found in good editions was plainer to read as it was, so a house has to "
    "ask for this.",
    instead="Spell the line alike in all sections that play it, unless each is plainer to read "
    "in its own part.",
    source="common practice, no source",
    severity="off",
    about=Unlike,
    say=say,
    parameters=Led(),
    mends="certain",
    find=find,
    mend=mend,
)
