"""The bars of a finished score as plans and house files name them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.placing.landmarks import Landmarks
from rewriter.scores.directions import read_direction_form
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from collections.abc import Iterator
    from fractions import Fraction

    from rewriter.checking.finished import Finished
    from rewriter.rulefiles.houses import Where
    from rewriter.theory.metre import Metre

_REHEARSAL = b"<rehearsal"


class ScoreBar(NamedTuple):
    """A bar.

    Attributes:
        number: as printed.
        length: divisions.
        lacking: divisions an upbeat lacks at its start.
        metre: in force at its start.
    """

    number: str
    length: int
    lacking: int | Fraction
    metre: Metre


class ScoreBars:
    """The bars of a score, by its first part.

    Attributes:
        bars: in order.
        divisions: of a quarter.
        movements: index of the first bar of each.
    """

    def __init__(self, score: Finished) -> None:
        """Take a score that has parts.

        Args:
            score: not changed.
        """
        self._score = score
        self.divisions = score.reading.divisions
        self.movements = score.movements
        timeline = score.reading.timeline
        self.bars = [
            ScoreBar(
                score.printed(0, bar), timeline.length(bar), lacking * self.divisions, metre
            )
            for bar, (lacking, metre) in enumerate(score.counted(0))
        ]

    def movement(self, bar: int) -> int:
        """Which movement a bar is in, counted from 1; 0 where there is only one."""
        return self._score.movement(bar)

    def bar_text(self, bar: int) -> str:
        """A bar for people: ``bar 3``, ``movement 2, bar 3``."""
        movement = self.movement(bar)
        said = f"bar {self.bars[bar].number}"
        return f"movement {movement}, {said}" if movement else said

    def span(self, where: Where) -> tuple[int, int]:
        """From when to when a stretch goes, in divisions from the start of the piece.

        Args:
            where: with a start and a stop.

        Raises:
            Refused: the score has no such bar, mark or beat, or several.
        """
        landmarks = Landmarks(self, self._marks())
        timeline = self._score.reading.timeline
        start, stop = 0, timeline.starts[-1]
        if where.start is not None:
            start = timeline.time(landmarks.start(where.start, bars_only=where.by_bars))
        if where.stop is not None:
            stop = timeline.time(landmarks.stop(where.stop, bars_only=where.by_bars))
        return start, stop

    def _marks(self) -> Iterator[tuple[Moment, str]]:
        """Rehearsal marks, each where it stands."""
        for number, part in enumerate(self._score.score.parts):
            for bar in part.saying(_REHEARSAL):
                for event in self._score.reading.bars(number)[bar].events:
                    if event.tag == "direction" and _REHEARSAL in event.data:
                        for sign in read_direction_form(event.data).signs:
                            if sign.tag == "rehearsal" and sign.text.strip():
                                yield Moment(bar, event.onset), sign.text.strip()
