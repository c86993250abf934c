"""Beams where they carry meaning: cut within a beat, over a rest or a barline, feathered.

Beams that follow the beats are what any program makes of the metre, and are no thing.
"""

from __future__ import annotations

from itertools import accumulate
from typing import TYPE_CHECKING, Final

from rewriter.comparing.things import Point, Thing

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.scores.events import Event
    from rewriter.theory.metre import Metre

_FLAGGED: Final = frozenset(
    ("eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th")
)


def beams(
    bar: int, events: Iterable[Event], metre: Metre | None, divisions: int
) -> Iterator[Thing]:
    """Beams of a bar that say more than the metre does.

    Args:
        bar: index.
        events: notes of the bar.
        metre: in force; None where there is none.
        divisions: of a quarter.
    """
    voices: dict[str, list[Event]] = {}
    for event in events:
        if event.form and not (event.form.chord or event.form.grace):
            voices.setdefault(event.form.voice, []).append(event)
    groups = metre.groups if metre else ()
    edges = [int(edge * divisions) for edge in accumulate(groups)]
    for voice, notes in voices.items():
        for what, note in _of_voice(notes, edges):
            staff = note.form.staff if note.form else ""
            yield Thing("beam", what, Point(bar, note.onset), voice, staff, None, note.place)


def _of_voice(notes: list[Event], edges: Sequence[int]) -> Iterator[tuple[str, Event]]:
    joined = False  # to the note before
    for before, note in zip([None, *notes], notes, strict=False):
        form = note.form
        if form is None:
            continue
        level = dict(form.beams).get("1", "")
        over_rest = (
            before is not None and before.form is not None and before.form.kind == "rest"
        )
        if joined and level in {"continue", "end"} and over_rest:
            yield "over a rest", note
        if b" fan=" in note.data and level == "begin":
            yield "feathered", note
        if before and not joined and _joinable(before, note, edges):
            yield "broken", note
        if level in {"begin", "end"} or form.kind != "rest":
            joined = level in {"begin", "continue"}
    if joined:
        yield "over the barline", notes[-1]


def _joinable(before: Event, note: Event, edges: Sequence[int]) -> bool:
    """True for two notes with flags that follow each other in one beat."""
    if not edges or before.onset + before.length != note.onset:
        return False
    if any(edge == note.onset or before.onset < edge < note.onset for edge in edges):
        return False
    return all(
        one.form is not None and one.form.kind != "rest" and one.form.type in _FLAGGED
        for one in (before, note)
    )
