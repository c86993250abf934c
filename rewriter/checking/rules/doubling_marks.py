"""Sections that double each other and are bowed, articulated or ornamented in two ways."""

from collections.abc import Iterator

from rewriter.checking.doubled import Led, Moment, Unlike, unlike
from rewriter.checking.doubled_marks import OF_SEVERAL, marked_alike
from rewriter.checking.doubled_notes import note_at
from rewriter.checking.doubled_words import against, more, named, spot
from rewriter.checking.finished import Finished
from rewriter.checking.rule import Mend, Rule, Said, Unmended


def find(score: Finished, settings: Led) -> Iterator[Unlike]:
    """Slurs and signs on notes that a section has otherwise than those it doubles."""
    found = score.disagreements.in_marks()
    for one in unlike(
        score, found, ("slur", "articulation", "ornament", "bowing"), settings.leading
    ):
        kept = tuple(moment for moment in one.moments if _is_asked(score, one, moment))
        if kept:
            yield one._replace(moments=kept)


def _is_asked(score: Finished, one: Unlike, moment: Moment) -> bool:
    """False for ways of playing, and for slurs that go where the other has no note."""
    every = (*moment.own, *moment.theirs)
    if moment.kind != "slur":
        return OF_SEVERAL.isdisjoint(said.what for said in every)
    return all(
        said.until > said.time and note_at(score, line, said.until) is not None
        for said in every
        for line in (one.line, one.others[0])
    )


def say(fact: Unlike, at: Finished, _: Led) -> Said:
    """Say how it is marked, and how the others are."""
    first = fact.moments[0]
    own, theirs = named(first.own), named(first.theirs)
    if first.kind == "slur" and first.own and first.theirs:
        text = f"slurs begin or end elsewhere than {against(at, fact)} them"
    else:
        sign = f"{own} is marked" if first.own else "nothing is marked"
        text = f"{sign} {against(at, fact)} {theirs}"
    remedy = "mark it as they are" if fact.led else "mark both alike"
    return Said(
        spot(at, fact),
        f"{text}{more(at, fact)}; {remedy}",
        sounds=own if first.own else "",
        wants=theirs if fact.led and first.theirs else "",
    )


def mend(score: Finished, fact: Unlike, _: Led) -> Mend | Unmended:
    """Mark it as the others are."""
    return marked_alike(score, fact)


RULE = Rule(
    id="doubling-marks",
    title="doubling sections marked in two ways",
    why="A line that one section slurs or cuts short and another does not is played in two "
    "ways until somebody asks in rehearsal. One in six found in good editions was meant, so a "
    "house has to ask for this.",
    instead="Mark it alike, or leave it where each section is to bow in its own way.",
    source="common practice, no source",
    severity="off",
    about=Unlike,
    say=say,
    parameters=Led(),
    mends="certain",
    find=find,
    mend=mend,
)
