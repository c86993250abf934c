"""Where a section comes in: at the start of a movement, or after a rest of whole bars."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import TYPE_CHECKING, NamedTuple

from rewriter.scores.children import element_of
from rewriter.scores.directions import read_direction_form
from rewriter.theory.dynamics import lasting, says_dynamic, says_level

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.scores.directions import Sign
    from rewriter.scores.events import Event
    from rewriter.scores.voices import VoiceNote


class Entry(NamedTuple):
    """A section comes in.

    Attributes:
        part: index in score order.
        note: its first.
        rested: whole bars without a note before it, since the movement began or since the
            section last played.
        since: when the silence began, in divisions from the start of the piece.
        first: True for the first of a movement.
    """

    part: int
    note: VoiceNote
    rested: int
    since: int
    first: bool


def entries(score: Finished, part: int) -> Iterator[Entry]:
    """The entries of a part: the first of each movement, and each behind a whole bar's rest.

    Args:
        score: it is in.
        part: index in score order; of a section.
    """
    starts = score.reading.timeline.starts
    movements = [starts[bar] for bar in score.movements]
    begun = silent_from = -1
    for run in score.joined(part):
        note = run.notes[0]
        if note.form.cue:
            continue
        begin = movements[bisect_right(movements, note.time) - 1]
        first = begun < begin
        since = max(silent_from, begin)
        rested = note.bar - bisect_left(starts, since)
        if first or rested > 0:
            yield Entry(part, note, max(rested, 0), since, first)
        begun, silent_from = note.time, max(silent_from, run.time + run.length)


class LoudnessTold(NamedTuple):
    """Something that says how loud a part is.

    Attributes:
        time: divisions from the start of the piece.
        level: dynamic that holds from there, or the words that say one; empty for hairpins,
            accents and words of change.
    """

    time: int
    level: str


def loudness_told(score: Finished, part: int) -> list[LoudnessTold]:
    """All that says how loud a part is: dynamics, hairpins, words; in the order of time.

    Args:
        score: it is in.
        part: index in score order.
    """
    data = score.score.parts[part]
    found: list[LoudnessTold] = []
    bars = {*data.having(b"<dynamics"), *data.saying(b"<wedge", b"<words")}
    for bar in bars:
        read = score.reading.bars(part)[bar]
        start = score.reading.timeline.starts[bar]
        for event in read.events:
            if event.tag == "direction":
                form = read_direction_form(event.data)
                time = start + event.onset + round(form.offset * read.scale_at(event.place))
                found += [
                    LoudnessTold(time, _level(sign))
                    for sign in form.signs
                    if sign.tag in {"dynamics", "wedge"}
                    or (sign.tag == "words" and says_dynamic(sign.text))
                ]
            elif event.form is not None and b"<dynamics" in event.data:
                found.append(LoudnessTold(start + event.onset, _own(event)))
    return sorted(found)


def _level(sign: Sign) -> str:
    if sign.tag == "words":
        return sign.text if says_level(sign.text) else ""
    return lasting(sign.text) if sign.tag == "dynamics" else ""


def _own(event: Event) -> str:
    """The dynamic in a note's own notations that holds; empty for an accent."""
    for mark in element_of(event.data).iterfind("notations/dynamics/*"):
        text = mark.text or "" if mark.tag == "other-dynamics" else str(mark.tag)
        if level := lasting(text.strip()):
            return level
    return ""
