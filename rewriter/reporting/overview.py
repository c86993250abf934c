"""From a sketch as it was read to what is said of it at a glance."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from rewriter.problems import beat_text
from rewriter.reporting.look import Look, Told, VoiceLook, Words
from rewriter.reporting.results import Compass
from rewriter.reporting.skeleton import plan_skeleton
from rewriter.sketch.compass import voices_seen
from rewriter.sketch.overview import (
    Seen,
    keys_in,
    marks_in,
    metres_in,
    read_whole,
    tempi_in,
    words_in,
)
from rewriter.sketch.voices import beat_at

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.scores.score import Score
    from rewriter.sketch.compass import End, VoiceSeen
    from rewriter.sketch.frame import Frame
    from rewriter.sketch.short_score import Sketch


class Plain(NamedTuple):
    """What the tune is, and whether that is plain.

    Attributes:
        said: which staff and why, or why nothing is.
        is_so: False where the reading is of some part, for want of a tune.
    """

    said: str
    is_so: bool


def look_of(score: Score, sketch: Sketch, tune: Plain) -> Look:
    """All that a sketch says at a glance.

    Args:
        score: the sketch's file.
        sketch: its reading.
        tune: what it is.

    Raises:
        Refused: the durations of all parts have no common division.
    """
    frame = sketch.frame
    layouts = [Seen(at, text) for at, text in sketch.layouts]
    whole = read_whole(score)
    numbers = [bar.number for bar in frame.bars]
    title = _title(score)
    return Look(
        sketch=score.name,
        title=title,
        tune=tune.said,
        tune_is_plain=tune.is_so,
        bars=len(frame.bars),
        numbers=_runs(numbers),
        repeated=[number for number, times in Counter(numbers).items() if times > 1],
        pickup=_pickup(frame),
        movements=[numbers[bar] for bar in frame.movements] if len(frame.movements) > 1 else [],
        marks=_told(marks_in(frame), frame),
        metres=_told(metres_in(frame), frame),
        keys=_told(keys_in(frame), frame),
        tempi=_told(tempi_in(frame), frame),
        layouts=_told(layouts, frame),
        words=_words(words_in(whole, frame, layouts), frame),
        voices=[_voice(seen, sketch, tune) for seen in voices_seen(whole, numbers)],
        plan=plan_skeleton(sketch, layouts, title=title, file=score.name, has_tune=tune.is_so),
    )


def _title(score: Score) -> str:
    texts = (score.header.findtext(tag) for tag in ("movement-title", "work/work-title"))
    return next((" ".join(text.split()) for text in texts if text and text.strip()), "")


def _runs(numbers: Sequence[str]) -> list[str]:
    """Printed numbers as stretches in which each is one more than the last."""
    runs: list[list[str]] = []
    for number in numbers:
        if runs and _follows(number, runs[-1][-1]):
            runs[-1].append(number)
        else:
            runs.append([number])
    return [run[0] if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs]


def _follows(number: str, before: str) -> bool:
    both = number.isdecimal() and before.isdecimal() and len(number + before) < _DIGITS
    return both and int(number) == int(before) + 1


_DIGITS = 20
"""Digits of two bar numbers that are still looked at as numbers."""


def _pickup(frame: Frame) -> str:
    first = frame.bars[0]
    whole = first.metre.length * frame.divisions
    if not first.implicit or first.length >= whole:
        return ""
    beats = beat_at(first, first.length, frame.divisions) - beat_at(first, 0, frame.divisions)
    return beat_text(beats)


def _told(seen: Iterable[Seen], frame: Frame) -> list[Told]:
    return [
        Told(
            text=text,
            bar=frame.bars[at.bar].number,
            beat=beat_text(beat_at(frame.bars[at.bar], at.onset, frame.divisions))
            if at.onset
            else "",
        )
        for at, text in seen
    ]


def _words(seen: Iterable[Seen], frame: Frame) -> list[Words]:
    bars: dict[str, dict[str, None]] = {}
    for at, text in seen:
        bars.setdefault(text, {})[frame.bars[at.bar].number] = None
    return [Words(text=text, bars=list(where)) for text, where in bars.items()]


def _voice(seen: VoiceSeen, sketch: Sketch, tune: Plain) -> VoiceLook:
    part, staff, voice = sketch.place
    here = part == seen.part.id and (seen.alone or (staff, voice) == (seen.staff, seen.voice))
    return VoiceLook(
        choice=seen.choice,
        part=seen.part.full_name or seen.part.id,
        staff=seen.staff,
        voice=seen.voice,
        notes=seen.notes,
        lowest=_compass(seen.lowest),
        highest=_compass(seen.highest),
        is_tune=tune.is_so and here,
    )


def _compass(end: End) -> Compass:
    return Compass(end.name, end.midi, end.bars)
