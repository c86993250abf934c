"""Ties and signs that begin and never end, or end and never began."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.scores.directions import read_direction_form

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator

    from rewriter.checking.finished import Finished
    from rewriter.scores.events import Event, WrittenPitch
    from rewriter.scores.spans import End, Spans
    from rewriter.scores.voices import VoiceNote

KINDS: Final = {
    "slur": "slur", "wedge": "hairpin", "tuplet": "tuplet", "octave-shift": "octave line",
    "wavy-line": "trill line",
}  # fmt: skip
"""Signs that are looked at, by their elements, and what people call them."""
_CROSSING: Final = frozenset(("slur", "tuplet", "octave-shift"))
"""Hairpins of one number may overlap: two voices have one each."""
_STRENGTHS: Final = frozenset(("dynamics", "wedge"))
_JUMPS: Final = (
    b"<repeat", b"<ending", b"<segno", b"<coda", b"dalsegno", b"dacapo", b"tocoda", b"fine=",
)  # fmt: skip
_FURTHEST_BARS: Final = 4
"""Between two ends that are taken for one sign's though their numbers differ."""


class OpenTie(NamedTuple):
    """A tie with one end.

    Attributes:
        part: index in score order.
        note: that has it.
        begins: True where the tie begins at the note.
        other: the one note that it can only go to, or come from; None where there is none.
    """

    part: int
    note: VoiceNote
    begins: bool
    other: VoiceNote | None


class OpenSpan(NamedTuple):
    """A sign with one end, with ends of two numbers, or around others of its number.

    Attributes:
        part: index in score order.
        end: the one that there is; of two, where it begins.
        other: where it ends with another number, or around others; None for nowhere.
        around: how many of its number begin and end before it does.
        more: ends like it, in a part that closes none of its kind.
    """

    part: int
    end: End
    other: End | None = None
    around: int = 0
    more: tuple[End, ...] = ()


def open_ties(score: Finished) -> Iterator[OpenTie]:
    """Ties with one end, part by part.

    A score that ends none leaves it to whoever reads it: the next note of that pitch.

    Args:
        score: looked at.
    """
    found = [_tie_ends(score, part) for part in range(len(score.score.parts))]
    if any(stops for _, stops in found):
        for part, (starts, stops) in enumerate(found):
            if starts != stops:
                yield from _ties_of(score, part)


_Ends = Counter["tuple[int, WrittenPitch | None]"]
"""Where ties begin to sound again, and at which pitch, in divisions from the start."""


def _tie_ends(score: Finished, part: int) -> tuple[_Ends, _Ends]:
    """Where ties lead to, and where they end: the same where all is well, and cheap to tell."""
    starts, stops = _Ends(), _Ends()
    bars, times = score.reading.bars(part), score.reading.timeline.starts
    for index in score.score.parts[part].having(b"<tie"):
        start, following = times[index : index + 2]
        bar = bars[index]
        for event in bar.events:
            form = event.form
            if form is None:
                continue
            if form.starts_tie:
                end = event.onset + event.length
                goes_on = following if end == bar.end else start + end
                starts[goes_on, event.pitch] += 1
            if form.stops_tie:
                stops[start + event.onset, event.pitch] += 1
    return starts, stops


def _ties_of(score: Finished, part: int) -> Iterator[OpenTie]:
    runs = score.joined(part)
    begun: dict[tuple[int, float | None], list[VoiceNote]] = {}
    ended: dict[tuple[int, float | None], list[VoiceNote]] = {}
    for run in runs:
        first, last = run.notes[0], run.notes[-1]
        begun.setdefault((first.time, first.sounding), []).append(first)
        ended.setdefault((last.goes_on, last.sounding), []).append(last)
    for run in runs:
        first, last = run.notes[0], run.notes[-1]
        if first.form.stops_tie and not _jumps(score, part, first.bar - 1, first.bar):
            before = [one for one in ended.get((first.time, first.sounding), ()) if one.length]
            yield OpenTie(part, first, begins=False, other=_only(before))
        if last.form.starts_tie and not _jumps(score, part, last.bar, last.bar + 1):
            after = [one for one in begun.get((last.goes_on, last.sounding), ()) if one.length]
            yield OpenTie(part, last, begins=True, other=_only(after))


def _only(notes: list[VoiceNote]) -> VoiceNote | None:
    return notes[0] if len(notes) == 1 else None


def _jumps(score: Finished, part: int, *bars: int) -> bool:
    """True where the music may go on elsewhere than in the next bar."""
    data = score.score.parts[part].bars
    return any(sign in data[bar] for bar in bars if 0 <= bar < len(data) for sign in _JUMPS)


def open_spans(score: Finished) -> Iterator[OpenSpan]:
    """Signs with one end, with ends of two numbers, or around others of their number.

    Args:
        score: looked at.
    """
    for part in range(len(score.score.parts)):
        spans = score.spans(part)
        ends = [end for end in spans.open if end.kind in KINDS]
        if ends:
            closed = {span.start.kind for span in spans.paired}
            never = _never_closed(ends, closed)
            yield from (OpenSpan(part, first, more=tuple(more)) for first, *more in never)
            told = {end for group in never for end in group}
            left = [end for end in ends if end not in told]
            yield from _open(score, part, _without_points(left))
        if spans.crossed:
            yield from _around(part, spans)


def _never_closed(ends: Iterable[End], closed: Collection[str]) -> list[list[End]]:
    """Ends of each kind that is always begun and never closed, as some programs write it."""
    by_kind: dict[str, list[End]] = {}
    for end in ends:
        if end.kind not in closed:
            by_kind.setdefault(end.kind, []).append(end)
    return [
        group
        for group in by_kind.values()
        if len(group) > 1 and all(end.side == "start" for end in group)
    ]


def _without_points(ends: Iterable[End]) -> list[End]:
    """Ends but those of a sign that begins where it ends."""
    left = list(ends)
    for stop in [end for end in left if end.side == "stop"]:
        for start in left:
            same = start.kind == stop.kind and start.number == stop.number
            if start.side == "start" and same and start.time == stop.time:
                left.remove(start)
                left.remove(stop)
                break
    return sorted(left, key=lambda end: end.time)


def _open(score: Finished, part: int, ends: list[End]) -> Iterator[OpenSpan]:
    paired: set[int] = set()
    for at, end in enumerate(ends):
        if at in paired:
            continue
        begins = end.side == "start"
        if _jumps(score, part, *((end.bar, end.bar + 1) if begins else (end.bar - 1, end.bar))):
            continue
        other = _partner(ends, at) if begins else None
        if other is not None:
            paired.add(other)
        yield OpenSpan(part, end, None if other is None else ends[other])


def _partner(ends: list[End], at: int) -> int | None:
    """The open stop that an open start can only belong to, though its number is another."""
    start = ends[at]
    for place in range(at + 1, len(ends)):
        end = ends[place]
        if (end.kind, end.voice, end.staff) == (start.kind, start.voice, start.staff):
            near = end.bar <= start.bar + _FURTHEST_BARS
            return place if end.side == "stop" and end.time > start.time and near else None
    return None


def dynamic_after(score: Finished, part: int, start: End) -> tuple[int, Event] | None:
    """The mark that a hairpin without an end leads to.

    Args:
        score: it is in.
        part: index in score order.
        start: where it begins.

    Returns:
        Index of the bar, and the direction: the first with a dynamic or another hairpin on its
        staff; None where there is none near it, or where it is moved from where it stands.
    """
    bars, times = score.reading.bars(part), score.reading.timeline.starts
    for index in range(start.bar, min(start.bar + _FURTHEST_BARS, len(bars) - 1) + 1):
        directions = [event for event in bars[index].events if event.tag == "direction"]
        for event in sorted(directions, key=lambda event: event.onset):
            form = read_direction_form(event.data)
            later = times[index] + event.onset > start.time
            if (
                later
                and form.staff == start.staff
                and any(sign.tag in _STRENGTHS for sign in form.signs)
            ):
                return None if form.offset else (index, event)
    return None


def _around(part: int, spans: Spans) -> Iterator[OpenSpan]:
    """Signs that others of their number stand in, each once."""
    inner = [end for end in spans.crossed if end.kind in _CROSSING]
    for span in spans.paired:
        start, stop = span
        within = [
            end
            for end in inner
            if (end.kind, end.number, end.voice, end.staff)
            == (start.kind, start.number, start.voice, start.staff)
            and start.time <= end.time < stop.time
            and end is not start
        ]
        if within and start not in spans.crossed:
            yield OpenSpan(part, start, stop, len(within))
