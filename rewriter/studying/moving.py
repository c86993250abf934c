"""How a tune moves: from note to note, up and down, by step and by leap."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

import msgspec

from rewriter.theory.fifths import interval_between

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.placing.lines import Stretch
    from rewriter.sketch.describing import Describer
    from rewriter.sketch.frame import Frame
    from rewriter.sketch.model import Sounding
    from rewriter.theory.fifths import Interval

_FIFTH: Final = 4
"""Letters from a note to the fifth above."""
_FIFTH_IN_SEMITONES: Final = 7


class Move(NamedTuple):
    """From one note to the next; grace notes are passed over.

    Attributes:
        before: the note it starts from.
        after: the note it leads to.
        semitones: upward positive.
        interval: between the letters; None where the file spells none, or quarter tones.
        over_rest: True where there is silence between them.
    """

    before: Sounding
    after: Sounding
    semitones: float
    interval: Interval | None
    over_rest: bool

    @property
    def is_leap(self) -> bool:
        """True for a fifth and more, of whatever kind, as it is spelled."""
        if self.interval is None:
            return abs(self.semitones) >= _FIFTH_IN_SEMITONES
        return abs(self.interval.steps) >= _FIFTH


class Motion(msgspec.Struct, frozen=True):
    """How often a tune goes up, down and nowhere."""

    rising: int
    falling: int
    repeated: int

    @property
    def share_rising(self) -> float:
        """Of the moves that go anywhere, those that rise, 0 to 1; 0 where none does."""
        moving = self.rising + self.falling
        return self.rising / moving if moving else 0.0


def moves_of(stretch: Stretch, frame: Frame, namer: Describer) -> Iterator[Move]:
    """The moves of a tune, in order; none leads from one movement to the next.

    Args:
        stretch: of the tune.
        frame: its bars.
        namer: of its notes.
    """
    notes = [note for note in stretch.soundings if note.length]
    for before, after in pairwise(notes):
        if frame.movement(before.bar) == frame.movement(after.bar):
            silent = after.start > before.end
            interval = _interval(before, after, namer)
            yield Move(before, after, after.midi - before.midi, interval, silent)


def _interval(before: Sounding, after: Sounding, namer: Describer) -> Interval | None:
    low, high = namer.pitch(before), namer.pitch(after)
    if low is None or high is None or low.alter % 1 or high.alter % 1:
        return None
    return interval_between(low, high)


def motion_of(moves: Sequence[Move]) -> Motion:
    """How often they go up, down and nowhere."""
    rising = sum(move.semitones > 0 for move in moves)
    falling = sum(move.semitones < 0 for move in moves)
    return Motion(rising, falling, len(moves) - rising - falling)
