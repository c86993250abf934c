"""Points of a score that is compared, as places people can find: printed bar, beat, moment."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final

from rewriter.problems import Place, exact_text
from rewriter.scores.movements import movement_starts, place_of
from rewriter.theory.metre import beat_of
from rewriter.theory.time import Timeline

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.comparing.contents import Contents
    from rewriter.comparing.things import Bar, Point
    from rewriter.scores.score import Score
    from rewriter.theory.metre import Metre

_IMPLICIT: Final = b'implicit="yes"'


class ScorePlaces:
    """The places of one of two scores that are compared."""

    def __init__(self, score: Score, parts: Sequence[Contents], divisions: int) -> None:
        """Take a score.

        Args:
            score: as it was read.
            parts: its parts as things.
            divisions: of a quarter, in which they count.
        """
        self._score = score
        self._divisions = divisions
        count = max((len(part.bars) for part in parts), default=0)
        longest = max(score.parts, key=lambda part: len(part.bars), default=None)
        self._named = longest
        self._starts = movement_starts(longest) if longest else []
        bars = [[part.bars[at] for part in parts if at < len(part.bars)] for at in range(count)]
        self._metres = [_metre(column) for column in bars]
        self._lengths = [max(bar.length for bar in column) for column in bars]
        self._lacking = list(self._missing())
        self._line = Timeline(self._lengths)

    def _missing(self) -> Iterator[Fraction]:
        """Quarters that upbeats, and the rests of divided bars, lack at their start."""
        carried = Fraction(0)  # quarters of the bar before, where it was not whole
        for at, (metre, length) in enumerate(zip(self._metres, self._lengths, strict=True)):
            lasts = Fraction(length, self._divisions)
            whole = metre.length if metre else lasts
            opening = self._named.bars[at].partition(b">")[0] if self._named else b""
            lacks = whole - lasts if _IMPLICIT in opening and lasts < whole else Fraction(0)
            if lacks and carried:
                lacks = min(lacks, carried)
            yield lacks
            carried = lacks + lasts if lacks + lasts < whole else Fraction(0)

    def at(self, point: Point, part: int | None, voice: str = "") -> Place:
        """The place of a point; of a heading, the part alone.

        Args:
            point: of the score.
            part: index; None for what all parts have.
            voice: as the file numbers it.
        """
        known = self._score.parts[part].id if part is not None else ""
        if point.bar < 0 or self._named is None or point.bar >= len(self._lengths):
            return Place(part=known)
        place = place_of(self._named, self._starts, point.bar)
        onset = Fraction(point.onset, self._divisions)
        metre = self._metres[point.bar]
        beat = onset + self._lacking[point.bar]
        start = Fraction(self._line.starts[point.bar], self._divisions)
        return Place(
            part=known,
            voice=voice,
            movement=place.movement if len(self._starts) > 1 else 0,
            bar=place.printed,
            bar_counted=place.counted,
            beat=exact_text(beat_of(beat, metre) if metre else beat + 1),
            moment=exact_text(start + onset),
        )

    def number(self, bar: int) -> str:
        """The printed number of a bar."""
        return self._named.numbers[bar] if self._named else ""


def _metre(column: Sequence[Bar]) -> Metre | None:
    """The metre of a bar, as the first part that has one says it."""
    return next((bar.metre for bar in column if bar.metre and bar.metre.length), None)
