"""Where a tune lies: its compass, and its tessitura by time."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from rewriter.placing.fitness import count_pitches, profile

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.fitness import Counts, Profile
    from rewriter.sketch.model import Sounding

_QUARTER = 0.25


class Lies(msgspec.Struct, frozen=True):
    """Where some notes lie; pitches are sounding MIDI numbers.

    Attributes:
        lengths: how long each pitch sounds, in divisions, lowest first; of nothing but grace
            notes how often each is struck.
        counts: how often each pitch is struck.
        average: by time.
        low: half of the time is spent between this pitch ...
        high: ... and this, a quarter below and a quarter above.
    """

    lengths: Profile
    counts: Counts
    average: float
    low: float
    high: float

    @property
    def lowest(self) -> float:
        """The lowest pitch."""
        return min(self.counts)

    @property
    def highest(self) -> float:
        """The highest pitch."""
        return max(self.counts)


def where_it_lies(notes: Sequence[Sounding]) -> Lies:
    """Where some notes lie.

    Args:
        notes: at least one.

    >>> from rewriter.sketch.model import Sounding
    >>> lies = where_it_lies([Sounding(0, 0, 3, 60, -1, 0), Sounding(0, 3, 1, 72, -1, 1)])
    >>> lies.average, lies.low, lies.high
    (63.0, 60, 60)
    """
    counts = count_pitches(notes)
    lengths = profile(notes)
    if not any(lengths.values()):
        lengths = counts
    total = sum(lengths.values())
    average = sum(midi * length for midi, length in lengths.items()) / total
    low, high = (_reached(lengths, share * total) for share in (_QUARTER, 1 - _QUARTER))
    return Lies(lengths, counts, average, low, high)


def _reached(lengths: Profile, time: float) -> float:
    """The pitch at which so much of the time has been spent, from the lowest upwards."""
    spent = 0
    for midi, length in lengths.items():
        spent += length
        if spent >= time:
            return midi
    return max(lengths)
