"""Two ends made one thing: slurs, hairpins, 8va lines and their like, paired by time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from rewriter.comparing.things import NEARLY
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rewriter.comparing.things import Thing
    from rewriter.theory.time import Timeline


OPEN_END: Final = "end without beginning"
"""What a thing says of which only the end is there."""

SPANNING: Final = frozenset(
    ("slur", "glissando", "trill line", "hairpin", "8va line", "pedal", "line", "ending")
)
"""Kinds of things that have two ends."""


class End(NamedTuple):
    """One end of a span.

    Attributes:
        thing: kind, place and voice; what it says counts where it begins.
        type: which end.
        number: what the file connects two ends by.
    """

    thing: Thing
    type: Literal["start", "stop"]
    number: str


def paired(ends: Iterable[End], line: Timeline, near: int) -> list[Thing]:
    """Spans, each where it begins; of an end alone, what it is and nothing else.

    Ends are taken by time. A stop belongs to the start that agrees best with it: in kind
    always, then in number, voice and staff; of equals, to the latest. A sign of time that has
    only just begun is not ended while an older one is open: programs move such ends a little.

    Args:
        ends: of a part, in document order.
        line: its bars.
        near: divisions; what is no longer has only just begun.
    """
    spans: list[Thing] = []
    begun: list[End] = []
    lonely: list[End] = []
    for end in sorted(ends, key=lambda one: (one.thing.at, one.type == "start")):
        if end.type == "start":
            stop = next((one for one in lonely if _at_once(end, one)), None)
            if stop is None:
                begun.append(end)
            else:
                lonely.remove(stop)
                spans.append(end.thing._replace(until=stop.thing.at))
            continue
        best = max(
            (
                (_agreement(start, end), _age(place, _lasts(start, end, line, near)), place)
                for place, start in enumerate(begun)
                if start.thing.kind == end.thing.kind
            ),
            default=None,
        )
        if best is None or not any(best[0][:2]):
            lonely.append(end)
        else:
            start = begun.pop(best[2])
            spans.append(start.thing._replace(until=end.thing.at))
    spans += (end.thing._replace(what=OPEN_END) for end in lonely)
    return spans + [start.thing for start in begun]


def _age(place: int, lasts: bool) -> tuple[bool, int]:  # noqa: FBT001 - one fact, named
    """The latest of those that last first, then the oldest of those that do not."""
    return lasts, place if lasts else -place


def _lasts(start: End, end: End, line: Timeline, near: int) -> bool:
    if start.thing.kind not in NEARLY:
        return True
    times = [line.time(Moment(*one.thing.at[:2])) for one in (start, end)]
    return times[1] - times[0] > near


def _agreement(start: End, end: End) -> tuple[bool, bool, bool]:
    a, b = start.thing, end.thing
    return start.number == end.number, a.staff == b.staff, a.voice == b.voice


def _at_once(start: End, end: End) -> bool:
    """True for a span that ends where it begins."""
    same = start.thing.at == end.thing.at and start.thing.kind == end.thing.kind
    return same and any(_agreement(start, end)[:2])
