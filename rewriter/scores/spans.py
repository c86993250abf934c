"""Signs that go from one moment to another, their ends paired by time.

The order in which ends stand in the file says little: voices are written one after the other,
and offsets move directions. Ties are joined by pitch instead (``scores.voices``).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from rewriter.scores.directions import read_direction_form

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rewriter.scores.events import BarEvents, Event
    from rewriter.scores.reading import Reading

_ENDS: Final[dict[str, Literal["start", "stop"]]] = {
    "start": "start", "stop": "stop", "discontinue": "stop",
    "crescendo": "start", "diminuendo": "start", "up": "start", "down": "start",
    "sostenuto": "start",
}  # fmt: skip
_ON_NOTES: Final = frozenset(("slur", "tuplet", "glissando", "slide", "wavy-line"))
_IN_DIRECTIONS: Final = frozenset(("wedge", "dashes", "bracket", "octave-shift", "pedal"))


class End(NamedTuple):
    """One end of a span.

    Attributes:
        kind: element name, such as ``slur``.
        number: tells it from others of its kind at the same time.
        side: which end.
        type: as written, such as ``crescendo``.
        time: divisions from the start of the piece, offsets counted.
        voice: of the note or direction; empty where it does not say.
        staff: counted from the top, as text; empty where it does not say.
        bar: index of the bar it stands in.
        event: the note or direction that holds it.
    """

    kind: str
    number: str
    side: Literal["start", "stop"]
    type: str
    time: int
    voice: str
    staff: str
    bar: int
    event: Event


class SignSpan(NamedTuple):
    """A sign from its start to its stop."""

    start: End
    stop: End


class Spans(NamedTuple):
    """What was paired and what was not.

    Attributes:
        paired: in the order of their stops.
        open: starts without a stop and stops without a start.
        crossed: starts inside another span of their kind, number and voice.
    """

    paired: list[SignSpan]
    open: list[End]
    crossed: list[End]


def spans_of(reading: Reading, part: int) -> Spans:
    """The spans of a part.

    Args:
        reading: of the score.
        part: index in score order.
    """
    found: dict[tuple[str, str], list[End]] = {}
    for end in ends_in(reading, part):
        found.setdefault((end.kind, end.number), []).append(end)
    spans = Spans([], [], [])
    for ends in found.values():
        _pair(ends, spans)
    return spans


def ends_in(reading: Reading, part: int) -> Iterator[End]:
    """Every end of a span in a part, in document order.

    Args:
        reading: of the score.
        part: index in score order.
    """
    for index, bar in enumerate(reading.bars(part)):
        start = reading.timeline.starts[index]
        for event in bar.events:
            if event.form is not None and event.form.notations:
                yield from _on_note(event, start, index)
            elif event.tag == "direction":
                yield from _in_direction(event, start, index, bar)


def _on_note(event: Event, start: int, index: int) -> Iterator[End]:
    form = event.form
    for sign in form.notations if form else ():
        if form and sign.tag in _ON_NOTES and sign.type in _ENDS:
            yield End(sign.tag, sign.number, _ENDS[sign.type], sign.type, start + event.onset,
                      form.voice, form.staff, index, event)  # fmt: skip


def _in_direction(event: Event, start: int, index: int, bar: BarEvents) -> Iterator[End]:
    form = read_direction_form(event.data)
    for sign in form.signs:
        if sign.tag in _IN_DIRECTIONS and sign.type in _ENDS:
            time = start + event.onset + round(form.offset * bar.scale_at(event.place))
            yield End(sign.tag, sign.number, _ENDS[sign.type], sign.type, time,
                      form.voice, form.staff, index, event)  # fmt: skip


def _pair(ends: Iterable[End], spans: Spans) -> None:
    """Pair ends of one kind and number.

    Where a stop and a start meet, the stop belongs to what began before; to that start only
    where it stands before it in the file, and on a grace note or where nothing else is open.
    """
    ordered = sorted(enumerate(ends), key=lambda one: (one[1].time, _behind_stops(one[1])))
    waiting: list[tuple[int, End]] = []
    stray: list[tuple[int, End]] = []
    met: list[tuple[End, tuple[int, End]]] = []
    for place, end in ordered:
        if end.side == "stop":
            start = _taken(waiting, end)
            if start is None:
                stray.append((place, end))
            else:
                spans.paired.append(SignSpan(start, end))
            continue
        stop = next((s for s in stray if s[1].time == end.time and s[0] >= place
                     and s[1].voice == end.voice), None)  # fmt: skip
        if stop is not None:
            stray.remove(stop)
            spans.paired.append(SignSpan(end, stop[1]))
            continue
        met += [(end, one) for one in waiting if _same_place(one[1], end)]
        waiting.append((place, end))
    # A start that never stops is open; it does not cross all that come after it.
    for end in dict.fromkeys(end for end, one in met if one not in waiting):
        spans.crossed.append(end)
    spans.open.extend(end for _, end in sorted(waiting + stray))


def _behind_stops(end: End) -> bool:
    """True for a start that comes behind the stops at its moment, wherever they stand."""
    form = end.event.form
    return end.side == "start" and not (form is not None and form.grace)


def _same_place(one: End, other: End) -> bool:
    return (one.voice, one.staff) == (other.voice, other.staff)


def _taken(waiting: list[tuple[int, End]], stop: End) -> End | None:
    """The start a stop belongs to: of its voice, else of its staff, else any; the latest."""
    if not waiting:
        return None
    best = max(
        range(len(waiting)),
        key=lambda i: (
            waiting[i][1].voice == stop.voice,
            waiting[i][1].staff == stop.staff,
            i,
        ),
    )
    return waiting.pop(best)[1]
