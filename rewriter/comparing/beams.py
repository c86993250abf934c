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


class Beams:
    """Looks through the beams of a part, bar by bar.

    Attributes:
        beat: divisions of the shortest beat of the last bar; of a quarter without a metre.
    """

    def __init__(self, divisions: int) -> None:
        """Begin.

        Args:
            divisions: of a quarter.
        """
        self.beat = self._divisions = divisions
        self._metre: Metre | None = None
        self._edges: list[int] = []

    def of_bar(self, bar: int, events: Iterable[Event], metre: Metre | None) -> Iterator[Thing]:
        """Beams that say more than the metre does.

        Args:
            bar: index.
            events: of the bar.
            metre: in force; None where there is none.
        """
        if metre is not self._metre:
            self._take(metre)
        voices: dict[str, list[Event]] = {}
        flagged = False
        for event in events:
            form = event.form
            if form and not (form.chord or form.grace):
                voices.setdefault(form.voice, []).append(event)
                flagged = flagged or form.type in _FLAGGED or bool(form.beams)
        for voice, notes in voices.items() if flagged else ():
            for what, note in _of_voice(notes, self._edges):
                staff = note.form.staff if note.form else ""
                yield Thing(
                    "beam", what, Point(bar, note.onset), voice, staff, None, note.place
                )

    def _take(self, metre: Metre | None) -> None:
        self._metre = metre
        groups = metre.groups if metre else ()
        self._edges = [int(edge * self._divisions) for edge in accumulate(groups)]
        shortest = min(groups) * self._divisions if groups else self._divisions
        self.beat = max(int(shortest), 1)


def _of_voice(notes: list[Event], edges: Sequence[int]) -> Iterator[tuple[str, Event]]:
    joined = False  # to the note before
    before: Event | None = None
    for note in sorted(notes, key=lambda one: one.onset):
        form = note.form
        level = dict(form.beams).get("1", "") if form else ""
        if form is None or (form.kind == "rest" and not level):
            continue
        goes_on = level in {"continue", "end"}
        if goes_on and joined and before and before.onset + before.length < note.onset:
            yield "over a rest", note
        elif goes_on and before is None:
            yield "over the barline", note
        elif b" fan=" in note.data and level == "begin":
            yield "feathered", note
        elif before and not (joined and goes_on) and _joinable(before, note, edges):
            yield "broken", note
        joined = level in {"begin", "continue"}
        before = note


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
