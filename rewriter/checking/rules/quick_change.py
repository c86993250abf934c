"""No time to take the bow again behind plucked notes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, NamedTuple

from msgspec import Meta

from rewriter.checking.dividing import who_judges
from rewriter.checking.rule import Parameters, Rule, Said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.scores.voices import VoiceNote


class Settings(Parameters, frozen=True):
    """How long it takes."""

    seconds: Annotated[
        float, Meta(ge=0, description="from the last plucked note to the first bowed one")
    ] = 0.5


class QuickChange(NamedTuple):
    """A change of technique between two notes.

    Attributes:
        part: index in score order.
        note: the first that is played otherwise.
        seconds: there are for it.
    """

    part: int
    note: VoiceNote
    seconds: float


def find(score: Finished, parameters: Settings) -> Iterator[QuickChange]:
    """Changes to the bow, with the time there is from note to note."""
    for part in score.of_sections:
        for told, before, now in score.manners(part).changes("bow"):
            if (before, now) != ("pizz", "arco"):
                continue
            last, first = score.moments(part).around(told.time, told.staff)
            if last is None or first is None:
                continue
            seconds = score.seconds.between(last.time, first.time)
            if seconds is not None and seconds < parameters.seconds:
                yield QuickChange(part, first, seconds)


def say(fact: QuickChange, at: Finished, parameters: Settings) -> Said:
    """Say how long there is."""
    note = fact.note
    return Said(
        at.place(fact.part, note.bar, note.time, note.form.voice),
        f"{fact.seconds:.1f} s from the last plucked note to the first bowed one; leave a "
        f"rest, or {who_judges(at.players[fact.part].sections[0], divide=False)}",
        wants=f"{parameters.seconds:g} s",
    )


RULE = Rule(
    id="quick-change",
    title="no time from pizz. to arco",
    why="After a plucked note the hand has to bring the bow back to the string.",
    instead="Leave a rest, pluck less, or let half of the section play each.",
    source="from memory",
    severity="advice",
    about=QuickChange,
    say=say,
    parameters=Settings(),
    find=find,
)
