"""A few bars of a part in time, counted in quarters: for whoever does not need them all."""

from __future__ import annotations

from fractions import Fraction
from math import lcm
from typing import TYPE_CHECKING

import msgspec

from rewriter.musicxml.note_reading import FractionalDuration
from rewriter.scores.children import saying_in
from rewriter.scores.events import EventReader, divisions_said
from rewriter.scores.leaving import ASIDES

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.scores.events import BarEvents, Event, InBars
    from rewriter.scores.leaving import Leaving


class BarInQuarters:
    """What happens in a bar.

    Attributes:
        events: in document order; places on the page are kept, asides are not.
    """

    def __init__(self, bar: BarEvents, counted: int) -> None:
        """Take a bar, and the divisions of a quarter that it is counted in."""
        self.events = bar.events
        self._bar = bar
        self._counted = counted

    def onset(self, event: Event) -> Fraction:
        """Quarters from the start of the bar."""
        return Fraction(event.onset, self._counted)

    def length(self, event: Event) -> Fraction:
        """Quarters."""
        return Fraction(event.length, self._counted)

    @property
    def end(self) -> Fraction:
        """Quarters from its start; the furthest any note or ``<forward>`` reaches."""
        return Fraction(self._bar.end, self._counted)

    @property
    def left_off(self) -> Fraction:
        """Quarters from its start to where the file's time stands at its end."""
        for event in reversed(self.events):
            if event.tag == "backup":
                return max(self.onset(event) - self.length(event), Fraction(0))
            if event.tag == "forward" or (event.form is not None and not event.form.chord):
                return self.onset(event) + self.length(event)
        return Fraction(0)

    def divisions_at(self, place: int) -> Fraction:
        """Divisions of a quarter the file is in at an element of the bar, by its index."""
        return self._counted / self._bar.scale_at(place)

    @property
    def divisions(self) -> Fraction:
        """Divisions of a quarter the file is in where the bar ends."""
        return self.divisions_at(len(self.events))


class _Few(msgspec.Struct, frozen=True):
    """Some bars out of a part, in order."""

    bars: list[bytes]

    def saying(self, *openings: bytes) -> list[int]:
        """See :class:`InBars`."""
        return saying_in(self.bars, openings)


def in_quarters(
    part: InBars, bars: Iterable[int], *, without: Sequence[Leaving] = ASIDES
) -> dict[int, BarInQuarters]:
    """Some bars of a part by their indexes.

    Args:
        part: not changed.
        bars: indexes; those it does not have are left out.
        without: what is left out of the bytes of events.
    """
    wanted = frozenset(bars)
    if not wanted:
        return {}
    # A bar that says divisions says them for all that follow.
    said = part.saying(b"<divisions")
    places = sorted({*said, *(at for at in wanted if at < len(part.bars))})
    few = _Few([part.bars[at] for at in places])
    divisions = lcm(*(value.numerator for value in divisions_said(few)))
    while True:
        read = EventReader(few, divisions, without=without).bars()
        try:
            return {
                at: BarInQuarters(bar, divisions)
                for at, bar in zip(places, read, strict=True)
                if at in wanted
            }
        except FractionalDuration as more:
            divisions *= more.denominator
