"""No time to put a mute on, or to take it off."""

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
        float, Meta(ge=0, description="from the end of the last note to the next one")
    ] = 2.0


class QuickMute(NamedTuple):
    """A mute put on or taken off between two notes.

    Attributes:
        part: index in score order.
        note: the first with it, or without.
        on: True where it is put on.
        seconds: there are for it.
    """

    part: int
    note: VoiceNote
    on: bool
    seconds: float


def find(score: Finished, parameters: Settings) -> Iterator[QuickMute]:
    """Mutes put on and taken off, with the time there is between two notes."""
    for part in score.of_sections:
        for told, _, now in score.manners(part).changes("mute"):
            last, first = score.moments(part).around(told.time, told.staff)
            if last is None or first is None:
                continue
            seconds = score.seconds.between(last.end, first.time)
            if seconds is not None and seconds < parameters.seconds:
                yield QuickMute(part, first, now == "muted", seconds)


def say(fact: QuickMute, at: Finished, parameters: Settings) -> Said:
    """Say how long there is."""
    note, what = fact.note, "put mutes on" if fact.on else "take mutes off"
    return Said(
        at.place(fact.part, note.bar, note.time, note.form.voice),
        f"{fact.seconds:.1f} s to {what}; leave a longer rest, or "
        f"{who_judges(at.players[fact.part].sections[0], divide=False)}",
        wants=f"{parameters.seconds:g} s",
    )


RULE = Rule(
    id="quick-mute",
    title="no time to put mutes on or off",
    why="A mute is put on, or taken off, with a hand that must stop playing for it.",
    instead="Leave a rest of some seconds, or let desk after desk change.",
    source="from memory",
    severity="advice",
    about=QuickMute,
    say=say,
    parameters=Settings(),
    find=find,
)
