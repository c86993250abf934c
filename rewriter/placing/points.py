"""Moments named as a plan names them: what ``passages`` looks up, the other way round."""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from rewriter.sketch.overview import marks_in
from rewriter.sketch.voices import beat_at

if TYPE_CHECKING:
    from rewriter.sketch.model import Frame
    from rewriter.theory.time import Moment

_PLAIN_MARK: Final = re.compile(
    r"(?!(?:bar|mark)\s|(?:start|end)$)\w+(?: (?!beat )\w+)*", re.IGNORECASE
)
"""A rehearsal mark that a plan can name without more words."""


class Points:
    """Names moments of a score: by its rehearsal marks, else by bars and beats."""

    def __init__(self, frame: Frame) -> None:
        """Take the bars and marks.

        Args:
            frame: of the sketch.
        """
        self._frame = frame
        self._times = Counter(bar.number for bar in frame.bars)
        marks = marks_in(frame)
        often = Counter(mark.text.casefold() for mark in marks)
        self._names = set(often)
        self._marks = {
            mark.at: mark.text
            for mark in marks
            if often[mark.text.casefold()] == 1
            and mark.text not in self._times
            and _PLAIN_MARK.fullmatch(mark.text)
        }

    def begin(self, at: Moment) -> str:
        """A moment as ``from`` names it.

        Args:
            at: within the score.
        """
        if at == (0, 0):
            return "start"
        if at in self._marks:
            return self._marks[at]
        return self._bar(at.bar) + (f" beat {self._beat(at)}" if at.onset else "")

    def end(self, at: Moment) -> str:
        """A moment as ``to`` names it; within a bar, that bar, which the next passage shortens.

        Args:
            at: first moment behind the passage.
        """
        if at.bar >= len(self._frame.bars):
            return "end"
        if at in self._marks:
            return self._marks[at]
        return self._bar(at.bar if at.onset else at.bar - 1)

    def _bar(self, index: int) -> str:
        number = name = self._frame.bars[index].number
        if self._times[number] > 1:
            before = sum(bar.number == number for bar in self._frame.bars[: index + 1])
            name = f"{number}({before})"
        return f"bar {name}" if self._names & {number.casefold(), name.casefold()} else name

    def _beat(self, at: Moment) -> str:
        """The beat as a decimal, never late: a plan's beat is rounded up to the next moment."""
        beat = beat_at(self._frame.bars[at.bar], at.onset, self._frame.divisions)
        thousandths = beat.numerator * 1000 // beat.denominator
        return f"{float(Fraction(thousandths, 1000)):.3f}".rstrip("0").rstrip(".")
