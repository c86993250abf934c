"""Moments named as a plan names them: what ``landmarks`` looks up, the other way round."""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from rewriter.sketch.overview import marks_in
from rewriter.sketch.voices import beat_at

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rewriter.sketch.frame import Frame
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
        places: dict[str, dict[Moment, str]] = {}
        for at, text in marks_in(frame):
            places.setdefault(text.casefold(), {})[at] = text
        self._names = set(places)
        self._marks = {
            at: _one_of(found, at)
            for found in places.values()
            if self._is_plain(found)
            for at in found
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

    def _is_plain(self, places: Mapping[Moment, str]) -> bool:
        """True when a mark's name can mean nothing else in a plan."""
        names = set(places.values())
        others = self._names - {name.casefold() for name in names}
        said = {*names, *(_one_of(places, at) for at in places)}
        return all(map(_PLAIN_MARK.fullmatch, names)) and not any(
            name in self._times or name.casefold() in others for name in said
        )

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


def _one_of(places: Mapping[Moment, str], at: Moment) -> str:
    """A mark; of one that comes several times, which."""
    if len(places) == 1:
        return places[at]
    return f"{places[at]}({sorted(places).index(at) + 1})"
