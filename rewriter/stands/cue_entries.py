"""Entries after a long rest: when a section comes in, and which bars before it show a cue."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.scores.quarters import in_quarters
from rewriter.stands.rests import rests_in

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.stands.copying import PartCopy

_TWO_BARS_FROM: Final = 4
"""Bars of rest from which two bars of cue are shown, so that one is counted into them."""


class Entry(NamedTuple):
    """A section comes in.

    Attributes:
        bars: the last of the rest before it.
        bar: index of the bar it comes in in.
        onset: quarters from the start of that bar.
    """

    bars: range
    bar: int
    onset: Fraction

    @property
    def shown(self) -> range:
        """The bars a cue stands in: the entry's own too, unless it is on the first beat."""
        return range(self.bars.start, self.bar + (1 if self.onset else 0))


def entries_of(section: Sequence[PartCopy], after: int) -> list[Entry]:
    """The entries of a section.

    Args:
        section: its parts.
        after: bars of rest from which an entry is one.
    """
    found = dict(_found(section, after))
    onsets: dict[int, Fraction] = {}
    for part in section:
        for at, bar in in_quarters(part, found).items():
            for event in bar.events:
                if event.form is not None and event.form.kind != "rest" and not event.form.cue:
                    onset = bar.onset(event)
                    onsets[at] = min(onset, onsets.get(at, onset))
    return [Entry(bars, at, onsets.get(at, Fraction(0))) for at, bars in found.items()]


def _found(section: Sequence[PartCopy], after: int) -> Iterator[tuple[int, range]]:
    """Each entry's bar and the last bars of the rest before it."""
    start = 0
    for index, bars in enumerate(zip(*(part.bars for part in section), strict=True)):
        if not all(rests_in(bar) for bar in bars):
            rest = index - start
            if rest >= after:
                yield index, range(index - (2 if rest >= _TWO_BARS_FROM else 1), index)
            start = index + 1
