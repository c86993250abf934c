"""In which octaves a stack can be written down at all: MusicXML's octaves end at 0 and 9."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.problems import Refused
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rewriter.placing.candidates import StackLine
    from rewriter.rulefiles.stack_lines import Stack

    Letters = Callable[[], tuple[int, int]]

_HIGHEST_OCTAVE = 9
"""Of the letter of a written note; the lowest is 0. (W3C MusicXML 4.0, <octave>.)"""

_SPELLED_AWAY = 2
"""Semitones a note may lie from its letter: a double accidental."""


def tops_however_spelled(lines: Sequence[StackLine]) -> range:
    """The top octaves at which every line can be written, whatever letters its notes have."""
    lowest, highest = _compass(lines)
    return tops_by_letters(
        lines, int((lowest - _SPELLED_AWAY) // 12) - 1, int((highest + _SPELLED_AWAY) // 12) - 1
    )


def tops_by_letters(lines: Sequence[StackLine], lowest: int, highest: int) -> range:
    """The top octaves at which every line can be written down.

    Args:
        lines: of the stack.
        lowest: octave the letters of the tune stand in.
        highest: likewise.
    """
    written = [line.section.written_octave - line.level for line in lines]
    return range(-lowest - min(written), _HIGHEST_OCTAVE - highest - max(written) + 1)


def unwritable(stack: Stack, lines: Sequence[StackLine]) -> Refused:
    """What is said where there is no such octave, or the one named is none of them."""
    compass = " to ".join(name_of_midi(midi) for midi in _compass(lines))
    if stack.top_octave is None:
        what = f'no octave of "{stack.text}" keeps a tune from {compass} between C0 and B9'
        return Refused(what, "use a layout of fewer octaves")
    what = f'"{stack.text}" takes a tune from {compass} past C0 or B9'
    return Refused(what, "name an octave nearer to the tune")


def _compass(lines: Sequence[StackLine]) -> tuple[float, float]:
    pitches = {midi for line in lines for midi in line.heard.counts}
    return min(pitches), max(pitches)
