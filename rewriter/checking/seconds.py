"""How long music lasts in seconds, by the tempi that a score tells in figures."""

from __future__ import annotations

import re
from bisect import bisect_right
from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.scores.children import attributes_of
from rewriter.scores.directions import read_direction_form
from rewriter.scores.notes import positive
from rewriter.theory.tempo_words import tempo_kind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.scores.directions import DirectionForm
    from rewriter.scores.events import Event

_A_MINUTE: Final = 60
_AS_BEFORE: Final = re.compile(r"\b(?:a|in|im) tempo\b|\btempo (?:i|primo)\b", re.IGNORECASE)
_UNIT: Final = re.compile(rb"<beat-unit>([^<]*)</beat-unit>((?:<beat-unit-dot/>)*)")
_A_MINUTE_SAID: Final = re.compile(rb"<per-minute[^>]*>([^<]*)</per-minute>")
_QUARTERS: Final = {
    b"breve": Fraction(8), b"whole": Fraction(4), b"half": Fraction(2), b"quarter": Fraction(1),
    b"eighth": Fraction(1, 2), b"16th": Fraction(1, 4),
}  # fmt: skip


class _TempoTold(NamedTuple):
    """A tempo, or words for one.

    Attributes:
        time: divisions from the start of the piece.
        tempo: quarters a minute; 0 for what only words tell, -1 for as before.
    """

    time: int
    tempo: Fraction


class Seconds:
    """The tempi of a score.

    Where words tell another tempo, without a figure, nobody knows how fast it is, until a
    figure or *a tempo* stands again; nor does one of a movement hold in the next.
    """

    def __init__(self, score: Finished) -> None:
        """Gather the tempi of all parts.

        Args:
            score: whose music it is.
        """
        self._divisions = score.reading.divisions
        starts = score.reading.timeline.starts
        told = [_TempoTold(starts[bar], Fraction(0)) for bar in score.movements[1:]]
        for part in range(len(score.score.parts)):
            told += _told_in(score, part)
        by_time: dict[int, list[Fraction]] = {}
        for one in told:
            by_time.setdefault(one.time, []).append(one.tempo)
        self._times: list[int] = []
        self._tempi: list[Fraction] = []
        before = Fraction(0)
        for time, tempi in sorted(by_time.items()):
            tempo = max(tempi)
            if tempo < 0:
                tempo = before
            self._times.append(time)
            self._tempi.append(max(tempo, Fraction(0)))
            before = tempo or before

    def between(self, start: int, stop: int) -> float | None:
        """Seconds from one moment to another; None where a tempo is not known.

        Args:
            start: divisions from the start of the piece.
            stop: likewise.
        """
        at = bisect_right(self._times, start) - 1
        if at < 0:
            return None
        seconds = Fraction(0)
        while start < stop:
            until = self._times[at + 1] if at + 1 < len(self._times) else stop
            if not self._tempi[at]:
                return None
            quarters = Fraction(min(until, stop) - start, self._divisions)
            seconds += quarters * _A_MINUTE / self._tempi[at]
            start, at = min(until, stop), at + 1
        return float(seconds)


def _told_in(score: Finished, part: int) -> Iterator[_TempoTold]:
    bars = score.reading.bars(part)
    for at in score.score.parts[part].saying(b"<metronome", b"tempo=", b"<words"):
        start = score.reading.timeline.starts[at]
        for event in bars[at].events:
            if event.tag == "sound":
                tempo = positive(attributes_of(event.data).get("tempo", ""))
                if tempo:
                    yield _TempoTold(start + event.onset, tempo)
            elif event.tag == "direction":
                form = read_direction_form(event.data)
                found = _of_direction(event, form)
                if found is not None:
                    offset = round(form.offset * bars[at].scale_at(event.place))
                    yield _TempoTold(start + event.onset + offset, found)


def _of_direction(event: Event, form: DirectionForm) -> Fraction | None:
    tempo = positive(dict(form.sound).get("tempo", "")) or _of_metronome(event.data)
    if tempo:
        return tempo
    text = " ".join(sign.text for sign in form.signs if sign.tag == "words")
    if not text or tempo_kind(text) != "tempo":
        return None
    return Fraction(-1) if _AS_BEFORE.search(text) else Fraction(0)


def _of_metronome(data: bytes) -> Fraction | None:
    unit, said = _UNIT.search(data), _A_MINUTE_SAID.search(data)
    if unit is None or said is None or unit[1].strip() not in _QUARTERS:
        return None
    number = positive(said[1].decode())
    if number is None:
        return None
    dots = unit[2].count(b"<")
    return number * _QUARTERS[unit[1].strip()] * (2 - Fraction(1, 2**dots))
