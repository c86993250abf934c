"""A whole score in one time: the events of every part, each part read when it is asked for."""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from rewriter.scores.attributes import changes_in
from rewriter.scores.events import EventReader, common_divisions
from rewriter.theory.metre import Metre
from rewriter.theory.time import Timeline

if TYPE_CHECKING:
    from rewriter.scores.events import BarEvents
    from rewriter.scores.score import Score

_WITHOUT_METRE = Fraction(4)
"""Quarters of an empty bar before any metre is told."""


class Reading:
    """A score as events.

    Attributes:
        score: as it was read.
    """

    def __init__(self, score: Score) -> None:
        self.score = score
        self._bars: dict[int, list[BarEvents]] = {}

    @cached_property
    def divisions(self) -> int:
        """Of a quarter, in which all parts are counted.

        Raises:
            NoCommonDivision: the durations have none that music needs.
        """
        return common_divisions(self.score.parts)

    def bars(self, part: int) -> list[BarEvents]:
        """The bars of a part.

        Args:
            part: index in score order.
        """
        if part not in self._bars:
            reader = EventReader(self.score.parts[part], self.divisions)
            self._bars[part] = list(reader.bars())
        return self._bars[part]

    def take_over(self, before: Reading) -> list[int]:
        """Take the events of parts that are byte for byte as they were.

        Args:
            before: of the score before some of its bars were changed.

        Returns:
            Indexes of these parts; none where the other counts in other divisions.
        """
        was, now = before.score.parts, self.score.parts
        if len(was) != len(now) or before.divisions != self.divisions:
            return []
        same = [part for part, one in enumerate(now) if one.bars == was[part].bars]
        for part in same:
            self._bars[part] = before.bars(part)
        return same

    @cached_property
    def timeline(self) -> Timeline:
        """Where each bar begins: bars are as long as their longest part plays.

        A bar nobody plays in is as long as the metre in force makes it.
        """
        parts = [self.bars(part) for part in range(len(self.score.parts))]
        metre: Fraction = _WITHOUT_METRE
        lengths = []
        for index in range(max(map(len, parts), default=0)):
            bars = [bars[index] for bars in parts if index < len(bars)]
            metre = next((m for bar in bars if (m := _metre_at_start(bar))), metre)
            played = max(bar.end for bar in bars)
            lengths.append(played or int(metre * self.divisions))
        return Timeline(lengths)


def _metre_at_start(bar: BarEvents) -> Fraction | None:
    """Quarters of a bar by the last metre it tells; None where it tells none."""
    told = [
        change.value.length
        for event in bar.events
        if event.tag == "attributes"
        for change in changes_in(event.data)
        if isinstance(change.value, Metre)
    ]
    return told[-1] if told else None
