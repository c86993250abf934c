"""Grace notes told apart: by how many of them stand between each and the note it leads to."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


def grace_places(notes: Sequence[tuple[bool, bool]]) -> list[int]:
    """For each note, as ``comparing.things.Point`` counts: 0, or -1, -2 ... before a note.

    Args:
        notes: of one voice, in document order: whether it is a grace note, and whether it
            sounds with the note before it.

    >>> grace_places([(True, False), (True, False), (True, True), (False, False)])
    [-2, -1, -1, 0]
    """
    found = []
    number = 0
    chord = False  # the note after this one sounds with it
    for grace, in_chord in reversed(notes):
        if grace:
            number -= 0 if chord else 1
        else:
            number = 0
        chord = in_chord
        found.append(number if grace else 0)
    return found[::-1]
