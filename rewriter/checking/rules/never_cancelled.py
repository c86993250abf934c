"""A way of playing that is told and never taken back."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Annotated, Final, NamedTuple

from msgspec import Meta

from rewriter.checking.dividing import one_player
from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.theory.division_words import said
from rewriter.theory.techniques import cancelling

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.checking.manners import MannerTold

_PLACES: Final = (("place", "pont"), ("place", "tasto"), ("bow", "legno"))


class Settings(Parameters, frozen=True):
    """How long it must go on."""

    bars: Annotated[
        int, Meta(ge=1, description="bars with notes, to the end of the movement, at least")
    ] = 8
    rest: Annotated[
        int, Meta(ge=1, description="bars of rest behind which a solo is likely over")
    ] = 4


class NeverCancelled(NamedTuple):
    """Words that nothing takes back before the end of the movement.

    Attributes:
        part: index in score order.
        bar: index of the bar in which they stand.
        time: divisions from the start of the piece.
        words: as they are printed.
        wants: words that would take them back.
    """

    part: int
    bar: int
    time: int
    words: str
    wants: str


def find(score: Finished, parameters: Settings) -> Iterator[NeverCancelled]:
    """Mutes, places on the string, the wood and solos that are never taken back."""
    for part in score.of_sections:
        for told in (*_mutes(score, part), *_places(score, part, parameters.bars)):
            language = score.players[part].sections[0].language
            wants = cancelling(told.technique.family, language)
            yield NeverCancelled(part, told.bar, told.time, told.technique.words, wants)
        if not one_player(score.players[part].sections[0]):
            yield from _solos(score, part, parameters.rest)


def _mutes(score: Finished, part: int) -> Iterator[MannerTold]:
    """Mutes that are on at the end of a movement, where the next says nothing of them."""
    manners = score.manners(part)
    silent = {
        start
        for start, _, told in manners.movements
        if not any(one.technique.family == "mute" for one in told)
    }
    for told, until, ended in manners.stretches("mute", "muted"):
        if not ended and until in silent:
            yield told


def _places(score: Finished, part: int, bars: int) -> Iterator[MannerTold]:
    """What is told in the course of a movement, and holds for long up to its end."""
    moments = score.moments(part)
    for family, value in _PLACES:
        for told, until, ended in score.manners(part).stretches(family, value):
            if ended:
                continue
            start = max(one for one, _, _ in score.manners(part).movements if one <= told.time)
            behind = {note.bar for note in moments.within(told.time, until)}
            if len(behind) >= bars and any(moments.within(start, told.time)):
                yield told


def _solos(score: Finished, part: int, rest: int) -> Iterator[NeverCancelled]:
    """Solos behind which the part rests long and comes in again, nobody knows who."""
    divisions, timeline = score.divisions(part), score.reading.timeline
    for told in divisions.told:
        until, then = divisions.until(told, timeline.starts[-1])
        if then is not None or not told.words.casefold().startswith("sol"):
            continue
        notes = score.moments(part).within(told.time, until, told.staff)
        if any(later.bar - note.bar > rest for note, later in pairwise(notes)):
            language = score.players[part].sections[0].language
            wants = said("tutti", language)
            yield NeverCancelled(part, told.bar, told.time, told.words, wants)


def say(fact: NeverCancelled, at: Finished, _: Settings) -> Said:
    """Say what is never taken back, and by what it would be."""
    return Said(
        at.place(fact.part, fact.bar, fact.time),
        f'"{fact.words}" is not taken back in this movement; print {fact.wants} where it ends',
        wants=fact.wants,
    )


RULE = Rule(
    id="never-cancelled",
    title="mute, solo or place on the string never cancelled",
    why="What is told holds until something else is told; at the next entry, or the next "
    "movement, players ask.",
    instead="Print where it ends.",
    source="common practice, no source",
    severity="advice",
    about=NeverCancelled,
    say=say,
    parameters=Settings(),
    find=find,
)
