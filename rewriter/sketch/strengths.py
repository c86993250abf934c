"""How strong a voice is over time: the dynamics in force, hairpins counted from their middle.

A hairpin leads to the dynamic at its end, or within a bar behind it, if that is louder where
it opens and softer where it closes; without one nobody can say what it leads to, and the
strength stays (common practice, no source).
"""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING, Final, NamedTuple

import msgspec

from rewriter.sketch.dynamic_marks import lasting_in
from rewriter.sketch.model import Note, StrengthFrom
from rewriter.theory.dynamics import loudness, strength_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.sketch.model import Sign, VoiceBar
    from rewriter.theory.time import Timeline

_UNTOLD: Final = "mf"
"""What music without dynamics is as strong as: plain."""

SIDES: Final = {"crescendo": 1, "diminuendo": -1}
"""Hairpins: 1 for one that opens, -1 for one that closes."""


class Mark(msgspec.Struct, frozen=True):
    """A dynamic that lasts: when it is told, and what it is."""

    time: int
    dynamic: str


class Hairpin(NamedTuple):
    """A hairpin: 1 for one that opens, -1 for one that closes."""

    start: int
    stop: int
    side: int


def strengths_of(
    bars: Sequence[VoiceBar], saying: Iterable[int], timeline: Timeline
) -> list[StrengthFrom]:
    """From when on a voice is how strong; plain before the first, empty without dynamics.

    Args:
        bars: of the voice, written.
        saying: indexes of those in which there may be dynamics or hairpins, in order.
        timeline: where they begin.
    """
    heard = _Heard()
    for index in saying:
        heard.take_in(bars[index], timeline.starts[index])
    return strengths_told(heard.marks, heard.hairpins, timeline)


def strengths_told(
    marks: Iterable[Mark], hairpins: Sequence[Hairpin], timeline: Timeline
) -> list[StrengthFrom]:
    """From when on a voice is how strong that is told so; empty without dynamics.

    Args:
        marks: dynamics that last, in any order.
        hairpins: for the voice.
        timeline: where its bars begin.
    """
    ordered = sorted(marks, key=lambda mark: mark.time)
    if not ordered:
        return []
    told = [*ordered, *_led_to(ordered, hairpins, timeline)]
    return _joined(sorted(told, key=lambda mark: mark.time))


class _Heard:
    """Marks and hairpins, as bars are taken in one after the other."""

    def __init__(self) -> None:
        self.marks: list[Mark] = []
        self.hairpins: list[Hairpin] = []
        self._open: dict[str, tuple[int, int]] = {}

    def take_in(self, bar: VoiceBar, start: int) -> None:
        """Note what a bar says."""
        for item in bar.items:
            if isinstance(item, Note):
                for notation in item.shape.notations:
                    if notation.tag == "dynamics":
                        self._mark(start + item.onset, notation.data)
            elif item.detail is not None:
                time = start + item.onset + item.detail.offset
                self._mark(time, item.detail.dynamic)
                self._wedges(item, time)

    def _mark(self, time: int, data: bytes) -> None:
        if data and (dynamic := lasting_in(data)):
            self.marks.append(Mark(time, dynamic))

    def _wedges(self, sign: Sign, time: int) -> None:
        for tag, kind, number in sign.lines:
            if tag != "wedge":
                continue
            if kind in SIDES:
                self._open[number] = (time, SIDES[kind])
            elif kind == "stop" and number in self._open:
                since, side = self._open.pop(number)
                self.hairpins.append(Hairpin(since, time, side))


def _led_to(
    marks: Sequence[Mark], hairpins: Sequence[Hairpin], timeline: Timeline
) -> Iterator[Mark]:
    """What each hairpin leads to, told at its middle."""
    times = [mark.time for mark in marks]
    starts = sorted(hairpin.start for hairpin in hairpins)
    for start, stop, side in hairpins:
        at = bisect_left(times, stop)
        if at == len(marks):
            continue
        next_one = bisect_left(starts, stop)
        before_next = next_one == len(starts) or times[at] <= starts[next_one]
        bar = timeline.length(timeline.ending(stop).bar)
        before = marks[at - 1].dynamic if at else _UNTOLD
        louder = loudness(marks[at].dynamic) - loudness(before)
        if before_next and times[at] - stop <= bar and louder * side > 0:
            yield Mark((start + stop) // 2, marks[at].dynamic)


def _joined(told: Sequence[Mark]) -> list[StrengthFrom]:
    """Strengths where they change; of several at one time the last counts."""
    at_times = {mark.time: strength_of(mark.dynamic) for mark in told}
    joined: list[StrengthFrom] = []
    for time, strength in at_times.items():
        if not joined or joined[-1].strength != strength:
            joined.append(StrengthFrom(time, strength))
    return joined
