"""Harmonics by what they sound, not by where a string is touched."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.scores.notes import NoteForm

SOUNDS_ABOVE: Final = {12: 12, 7: 19, 5: 24, 4: 28, 9: 28, 3: 31}
"""Semitones from the stopped note, or the open string, to where it is touched: to the sound.
(Acoustics: the octave halves the string, the fifth leaves a third of it, and so on.)"""
REACH: Final = 36
"""Semitones above the highest open string: its eighth partial (from memory)."""


def is_harmonic(form: NoteForm) -> bool:
    """True for a note that sounds as a harmonic, or shows where one is touched."""
    return any(sign.tag == "harmonic" for sign in form.notations) or is_touched(form)


def is_touched(form: NoteForm) -> bool:
    """True for a note that only shows where the string is touched."""
    return "notehead" in form.tags and any(
        child.startswith(b"<notehead") and b">diamond<" in child for child in form.children
    )


def sound_of_touched(touched: float, others: Iterable[float], strings: Sequence[int]) -> float:
    """What sounds where a string is touched.

    Args:
        touched: MIDI number, as all others.
        others: notes of its chord; the stopped one is among them.
        strings: open ones.

    Returns:
        The touched pitch itself where no partial is found.

    >>> sound_of_touched(74, (69,), ()), sound_of_touched(74, (), (55, 62, 69, 76))
    (93, 93)
    """
    for below in (*others, *reversed(strings)):
        above = SOUNDS_ABOVE.get(round(touched - below))
        if above is not None:
            return below + above
    return touched
