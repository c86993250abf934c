"""How a tune moves: from note to note, up and down, by step and by leap."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

import msgspec

from rewriter.theory.fifths import Interval
from rewriter.theory.pitch import STEPS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.placing.lines import Stretch
    from rewriter.sketch.describing import Describer
    from rewriter.sketch.frame import Frame
    from rewriter.sketch.model import Sounding
    from rewriter.theory.pitch import Pitch

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
    letters = [_letter(namer.pitch(note)) for note in notes]
    for (before, after), (low, high) in zip(pairwise(notes), pairwise(letters), strict=True):
        if frame.movement(before.bar) != frame.movement(after.bar):
            continue
        semitones = after.midi - before.midi
        interval = None
        if low is not None and high is not None and semitones == int(semitones):
            interval = Interval(high - low, int(semitones))
        yield Move(before, after, semitones, interval, after.start > before.end)


def _letter(pitch: Pitch | None) -> int | None:
    """The letter of a note, counted from C0; None where none is known, or of quarter tones."""
    if pitch is None or pitch.alter % 1:
        return None
    return STEPS.index(pitch.step) + 7 * pitch.octave


def motion_of(moves: Sequence[Move]) -> Motion:
    """How often they go up, down and nowhere."""
    rising = sum(move.semitones > 0 for move in moves)
    falling = sum(move.semitones < 0 for move in moves)
    return Motion(rising, falling, len(moves) - rising - falling)
