"""What one hand can stop at once on neighbouring strings.

A finger stands so many semitones above the open string. Semitones grow narrower up the string,
so the same hand reaches more of them there: what it reaches is measured along the string.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

_OCTAVE: Final = 12
_LOWEST_FINGER: Final = 1
"""Semitones above the open string from which a reach in first position is measured."""


class Stopped(NamedTuple):
    """Notes laid on neighbouring strings, where the hand has least to stretch.

    Attributes:
        places: semitones above its open string, of each note from the lowest; 0 is open.
        width: of the stopped ones, as a share of the string's length.
    """

    places: tuple[int, ...]
    width: float

    @property
    def apart(self) -> int:
        """Semitones between the stopped notes' places; 0 for none or one."""
        stopped = [place for place in self.places if place]
        return max(stopped) - min(stopped) if stopped else 0

    def within(self, semitones: int) -> bool:
        """True where a hand that reaches so many semitones in first position reaches it.

        >>> stopped((57, 70), (55, 62, 69, 76)).apart
        6
        >>> [stopped((up, up + 13), (55, 62, 69, 76)).within(5) for up in (57, 66)]
        [False, True]
        """
        reach = _along(_LOWEST_FINGER + semitones) - _along(_LOWEST_FINGER)
        return self.width <= reach + 1e-9


@lru_cache(maxsize=4096)
def stopped(notes: Sequence[int], strings: Sequence[int]) -> Stopped | None:
    """Notes on neighbouring strings, with the least stretch; None where they have no room.

    A lower note on a higher string only widens the stretch where strings are tuned in fifths
    or fourths, so notes go to strings in their order.

    Args:
        notes: MIDI numbers, lowest first.
        strings: open strings, lowest first.
    """
    ways = []
    for lowest in range(len(strings) - len(notes) + 1):
        places = tuple(
            note - string for note, string in zip(notes, strings[lowest:], strict=False)
        )
        if min(places) >= 0:
            closed = [_along(place) for place in places if place]
            ways.append(Stopped(places, max(closed) - min(closed) if closed else 0.0))
    return min(ways, key=lambda one: (one.width, one.places), default=None)


def _along(semitones: int) -> float:
    """How far a stopped note lies from the nut, as a share of the string's length."""
    left: float = 2.0 ** (-semitones / _OCTAVE)
    return 1.0 - left
