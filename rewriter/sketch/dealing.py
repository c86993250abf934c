"""Chords of an accompaniment dealt out, top note first, among the lines that play it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.sketch.chords import as_chord

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rewriter.sketch.model import Note


def dealt(place: int, lines: int) -> Callable[[Sequence[Note]], Note]:
    """What one of several lines plays of each chord.

    The notes are dealt from the top as evenly as they go: four notes to two lines are two
    each, three to two are two above and one below. Of a chord with fewer notes than lines the
    lower lines share the lower notes.

    Args:
        place: of the line, 0 for the uppermost.
        lines: how many there are.
    """

    def settle(notes: Sequence[Note]) -> Note:
        by_height = sorted(notes, key=lambda note: -(note.pitch.midi if note.pitch else -1.0))
        count = len(by_height)
        first = -(-place * count // lines)
        if count < lines:
            first = ((place + 1) * count - 1) // lines
        behind = -(-(place + 1) * count // lines) if count >= lines else first + 1
        return as_chord(notes, by_height[first:behind])

    return settle
