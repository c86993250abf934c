"""Sections that double each other and are told dynamics, hairpins or words in two ways."""

from collections.abc import Iterator

from rewriter.checking.doubled import Led, Moment, Unlike, unlike
from rewriter.checking.doubled_directions import told_alike
from rewriter.checking.doubled_words import against, more, named, spot
from rewriter.checking.finished import Finished
from rewriter.checking.rule import Mend, Rule, Said, Unmended

_BASS = "strings.contrabass"


def find(score: Finished, settings: Led) -> Iterator[Unlike]:
    """What a section is told otherwise than those it doubles."""
    found = score.disagreements.in_marks()
    for one in unlike(
        score, found, ("dynamic", "hairpin", "technique", "words"), settings.leading
    ):
        kept = tuple(moment for moment in one.moments if _is_asked(score, one, moment))
        if kept:
            yield one._replace(moments=kept)


def _is_asked(score: Finished, one: Unlike, moment: Moment) -> bool:
    """False for signs on single notes, held notes, and basses that pluck where cellos bow."""
    holds = moment.kind != "hairpin" and any(
        said.until > said.time for said in (*moment.own, *moment.theirs)
    )
    if holds and not _both_begin(score, one, moment):
        return False
    if moment.kind != "technique":
        return True
    parts = (one.line.part, *(line.part for line in one.others))
    sounds = {section.sound for part in parts for section in score.players[part].sections}
    return holds and _BASS not in sounds


def _both_begin(score: Finished, one: Unlike, moment: Moment) -> bool:
    """True where both begin a note while they are told to play in two ways."""
    until = max(said.until for said in (*moment.own, *moment.theirs))
    return all(
        any(moment.time <= note.time < until for note in score.line_at[line].notes)
        for line in (one.line, one.others[0])
    )


def say(fact: Unlike, at: Finished, _: Led) -> Said:
    """Say what it is told, and what the others are."""
    first = fact.moments[0]
    own, theirs = named(first.own), named(first.theirs)
    where = f"{against(at, fact)} {theirs}"
    text = f"{own} is told {where}" if first.own else f"nothing is told {where}"
    if own == theirs:
        text = f"{own} begins or ends elsewhere than {against(at, fact)} it"
    remedy = (
        "tell it what they are told" if fact.led else "tell both the same, unless it is meant"
    )
    return Said(
        spot(at, fact),
        f"{text}{more(at, fact)}; {remedy}",
        sounds=own if first.own else "",
        wants=theirs if fact.led and first.theirs else "",
    )


def mend(score: Finished, fact: Unlike, _: Led) -> Mend | Unmended:
    """Tell it what the others are told."""
    return told_alike(score, fact)


RULE = Rule(
    id="doubling-dynamics",
    title="doubling sections told to play in two ways",
    why="A line that one section plays p and another f has not the balance it was written for, "
    "unless somebody meant it so. One in five found in good editions was meant, so a house has "
    "to ask for this.",
    instead="Tell all of them the same, or leave what balances them.",
    source="common practice, no source",
    severity="off",
    about=Unlike,
    say=say,
    parameters=Led(),
    mends="certain",
    find=find,
    mend=mend,
)
