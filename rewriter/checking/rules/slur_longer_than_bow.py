"""Slurs that last longer than a bow."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING, Annotated, NamedTuple

from msgspec import Meta

from rewriter.checking.dividing import who_judges
from rewriter.checking.rule import Parameters, Rule, Said
from rewriter.scores.playing import dynamics_in
from rewriter.theory.dynamics import loudness

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.scores.playing import Told
    from rewriter.scores.spans import SignSpan


class Settings(Parameters, frozen=True):
    """How long a bow lasts."""

    ff: Annotated[float, Meta(gt=0, description="seconds at ff and above")] = 3.0
    f: Annotated[float, Meta(gt=0, description="seconds at f")] = 4.0
    mf: Annotated[float, Meta(gt=0, description="seconds at mf, mp or no dynamic at all")] = 6.0
    p: Annotated[float, Meta(gt=0, description="seconds at p and below")] = 8.0

    def at(self, dynamic: str) -> float:
        """Seconds that a bow lasts under a dynamic; empty for none."""
        level = loudness(dynamic) if dynamic else 0
        if level < 0:
            return self.p
        return self.mf if level <= loudness("mf") else self.f if dynamic == "f" else self.ff


class LongSlur(NamedTuple):
    """A slur.

    Attributes:
        part: index in score order.
        span: the slur.
        seconds: that it lasts.
        dynamic: in force where it begins; empty for none.
        bow: seconds that a bow lasts then.
    """

    part: int
    span: SignSpan
    seconds: float
    dynamic: str
    bow: float


def find(score: Finished, parameters: Settings) -> Iterator[LongSlur]:
    """Slurs of bowed notes for which a bow is too short, where the tempo is known."""
    for part in score.of_sections:
        told = dynamics_in(score.reading, part)
        times = [one.time for one in told]
        plucked = [
            (one.time, until) for one, until, _ in score.manners(part).stretches("bow", "pizz")
        ]
        for span in score.spans(part).paired:
            start = span.start.time
            if span.start.kind != "slur" or any(a <= start < b for a, b in plucked):
                continue
            form = span.stop.event.form
            if form is None:
                continue
            seconds = score.seconds.between(start, span.stop.time + span.stop.event.length)
            if seconds is None or seconds <= parameters.ff:
                continue
            dynamic = _in_force(told[: bisect_right(times, start)], span)
            bow = parameters.at(dynamic)
            if seconds > bow:
                yield LongSlur(part, span, seconds, dynamic, bow)


def _in_force(told: Sequence[Told], span: SignSpan) -> str:
    staff = span.start.event.form.staff if span.start.event.form else ""
    return next((one.value for one in reversed(told) if one.staff in {"", staff}), "")


def say(fact: LongSlur, at: Finished, _: Settings) -> Said:
    """Say how long it lasts, and how long a bow does."""
    start = fact.span.start
    judge = who_judges(at.players[fact.part].sections[0], divide=False)
    return Said(
        at.place(fact.part, start.bar, start.time, start.voice),
        f"a slur of {fact.seconds:.1f} s at {fact.dynamic or 'no dynamic'}, where a bow lasts "
        f"some {fact.bow:g} s; break it, or {judge}",
        f"{fact.seconds:.1f} s",
        f"{fact.bow:g} s",
    )


RULE = Rule(
    id="slur-longer-than-bow",
    title="slur longer than a bow",
    why="A bow is so long, and the louder, the sooner it is at its end. A section that has to "
    "change within a slur changes at many places, or where somebody has marked it. Good "
    "editions leave many such slurs to the players, so a house has to ask for this.",
    instead="Break the slur where the bow should change, or let the section leader mark it.",
    source="from memory",
    severity="off",
    about=LongSlur,
    say=say,
    parameters=Settings(),
    find=find,
)
