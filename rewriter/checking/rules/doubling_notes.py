"""Sections that double each other and do not play the same notes."""

from collections.abc import Iterator
from typing import Annotated

from msgspec import Meta

from rewriter.checking.doubled import Led, Moment, Unlike, unlike
from rewriter.checking.doubled_notes import as_the_others, note_at
from rewriter.checking.doubled_words import against, more, named, spot
from rewriter.checking.finished import Finished
from rewriter.checking.rule import Mend, Rule, Said, Unmended

_OCTAVE = 12


class Settings(Led, frozen=True):
    """What differs so much that it is meant."""

    widest: Annotated[
        float,
        Meta(
            ge=1,
            le=6,
            description="semitones, octaves aside, by which notes differ that count as a slip; "
            "what is further away is harmony, or suits the section, and is meant",
        ),
    ] = 2
    rhythm: Annotated[
        bool,
        Meta(description="true: notes that only one has, and other lengths, count too"),
    ] = False


def find(score: Finished, settings: Settings) -> Iterator[Unlike]:
    """Notes that a section has otherwise than those it doubles."""
    found = score.disagreements.in_notes()
    more = ("rhythm", "length") if settings.rhythm else ()
    for one in unlike(score, found, ("pitch", *more), settings.leading):
        kept = tuple(m for m in one.moments if _is_a_slip(score, one, m, settings.widest))
        if kept:
            yield one._replace(moments=kept)


def _is_a_slip(score: Finished, one: Unlike, moment: Moment, widest: float) -> bool:
    """True for a pitch near to the others'; always for a rhythm."""
    if moment.kind != "pitch":
        return True
    own, model = (note_at(score, line, moment.time) for line in (one.line, one.others[0]))
    if own is None or model is None:
        return False
    apart = (own.sounding - model.sounding) % _OCTAVE
    return min(apart, _OCTAVE - apart) <= widest


def say(fact: Unlike, at: Finished, _: Settings) -> Said:
    """Say what it plays, and what the others do."""
    first = fact.moments[0]
    own, theirs = named(first.own), named(first.theirs)
    where = f"{against(at, fact)} {theirs}"
    text = f"{own} is played {where}" if first.own else f"nothing is struck {where}"
    if first.kind == "length":
        text = f"{own} is held for another time than {against(at, fact)} it"
    remedy = (
        "write what they have" if fact.led else "make them agree, or leave it if it is meant"
    )
    return Said(
        spot(at, fact),
        f"{text}{more(at, fact)}; {remedy}",
        sounds=own if first.own else "",
        wants=theirs if fact.led and first.theirs else "",
    )


def mend(score: Finished, fact: Unlike, _: Settings) -> Mend | Unmended:
    """Write the others' pitch, in the octave where it stands."""
    if fact.moments[0].kind != "pitch":
        return Unmended("notes of its own would have to go, or come")
    return as_the_others(score, fact)


RULE = Rule(
    id="doubling-notes",
    title="doubling sections play other notes",
    why="Where one section plays a neighbouring note of the line that others play, somebody's "
    "hand has often slipped; but one in three found in good editions was meant, so a house has "
    "to ask for this.",
    instead="Write what the others have, or leave it if it is meant.",
    source="common practice, no source",
    severity="off",
    about=Unlike,
    say=say,
    parameters=Settings(),
    mends="certain",
    find=find,
    mend=mend,
)
