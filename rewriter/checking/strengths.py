"""How strong the music of a line is at any moment of a finished score."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

from rewriter.scores.playing import told_in
from rewriter.sketch.strengths import SIDES, Hairpin, Mark, strengths_told

if TYPE_CHECKING:
    from rewriter.checking.finished import Finished
    from rewriter.theory.dynamics import Strength


class Strengths:
    """How strong a staff of a part is; a hairpin counts from its middle as what it leads to."""

    def __init__(self, score: Finished, part: int, staff: str) -> None:
        """Gather what is told.

        Args:
            score: it is in.
            part: index in score order.
            staff: counted from the top, as text.
        """
        marks = [
            Mark(one.time, one.value)
            for one in told_in(score.reading, part)
            if one.kind == "dynamic" and one.staff in {"", staff}
        ]
        hairpins = [
            Hairpin(start.time, stop.time, SIDES[start.type])
            for start, stop in score.spans(part).paired
            if start.kind == "wedge" and start.type in SIDES and start.staff in {"", staff}
        ]
        self._found = strengths_told(marks, hairpins, score.reading.timeline)
        self._times = [one.time for one in self._found]

    def at(self, time: int) -> Strength:
        """How strong it is at a moment; plain before anything is told."""
        place = bisect_right(self._times, time)
        return self._found[place - 1].strength if place else "plain"
