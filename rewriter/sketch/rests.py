"""Rests as notes of a voice: the whole bar, or a stretch of it by the beats of its metre."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.note_shapes import NoteShape
from rewriter.sketch.model import Note
from rewriter.theory.metre import rest_lengths

if TYPE_CHECKING:
    from rewriter.sketch.model import FrameBar


LONGEST_QUARTERS: Final = 256
"""A longer silence is written as one rest, whatever the metre."""


@lru_cache(maxsize=256)
def _shape(length: int, type_name: str, dots: int, whole_bar: bool) -> NoteShape:  # noqa: FBT001 - cached by position
    shape = NoteShape()
    shape.kind = "rest"
    shape.length = length
    shape.whole_bar = whole_bar
    shape.children = [
        ("duration", b"<duration>%d</duration>" % length),
        ("voice", b"<voice>1</voice>"),
    ]
    if type_name:
        shape.children.append(("type", b"<type>%b</type>" % type_name.encode()))
        shape.children += [("dot", b"<dot/>")] * dots
    return shape.finish()


def bar_rest(length: int) -> Note:
    """A rest that stands for a whole bar of some divisions."""
    return Note(0, length, _shape(length, "", 0, True), None)  # noqa: FBT003 - cached by position


def rests_between(start: int, stop: int, bar: FrameBar, divisions: int) -> list[Note]:
    """Rests for a stretch of a bar, by the beats of its metre.

    Args:
        start: divisions from the start of the bar.
        stop: likewise.
        bar: its metre, and what an upbeat bar lacks at its start, count.
        divisions: per quarter.
    """
    if start == 0 and stop == bar.length:
        return [bar_rest(bar.length)]
    if stop - start > LONGEST_QUARTERS * divisions:
        return [_rest(start, stop - start)]
    lacking = Fraction(bar.lacking, divisions)
    wanted = rest_lengths(
        lacking + Fraction(start, divisions), lacking + Fraction(stop, divisions), bar.metre
    )
    if any((rest.length * divisions).denominator != 1 for rest in wanted):
        return [_rest(start, stop - start)]
    rests, at = [], start
    for rest in wanted:
        length = int(rest.length * divisions)
        rests.append(_rest(at, length, rest.type, rest.dots))
        at += length
    return rests


def _rest(onset: int, length: int, type_name: str = "", dots: int = 0) -> Note:
    return Note(onset, length, _shape(length, type_name, dots, False), None)  # noqa: FBT003 - cached by position
