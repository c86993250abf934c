"""Notes that stay together whatever is cut: those of a tuplet, those of a two-note tremolo."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.sketch.listening import Where
    from rewriter.sketch.model import Voice


def beginnings(voice: Voice, bar: int) -> Sequence[int]:
    """For every note of a bar the place where its tuplet or tremolo begins; its own if none."""
    return voice.bars[bar].begins


def whole(voice: Voice, notes: Iterable[Where]) -> list[Where]:
    """Notes with all others of their tuplets and tremolos, in order."""
    named = set(notes)
    if all(isinstance(beginnings(voice, bar), range) for bar in {bar for bar, _ in named}):
        return sorted(named)
    wanted: dict[int, set[int]] = {}
    for bar, place in named:
        wanted.setdefault(bar, set()).add(place)
    found: list[Where] = []
    for bar in sorted(wanted):
        begun = beginnings(voice, bar)
        groups = {begun[place] for place in wanted[bar]}
        found += [(bar, place) for place, begins in enumerate(begun) if begins in groups]
    return found
