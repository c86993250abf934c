"""Rests as notes of a voice: the whole bar, or a stretch of it by the beats of its metre."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.escaping import word
from rewriter.musicxml.note_shapes import NoteShape
from rewriter.sketch.model import Note
from rewriter.theory.metre import rest_lengths

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.sketch.frame import FrameBar
    from rewriter.sketch.model import Sign
    from rewriter.theory.metre import Metre


LONGEST_QUARTERS: Final = 256
"""A longer silence is written as one rest, whatever the metre."""

HAIR_QUARTERS: Final = Fraction(1, 32)
"""What is shorter is no silence but a rounded tuplet: no rest stands for it, and no bar is
short by it. (A program that counts 480 to a quarter rounds by 1 to 9 of them.)"""

_GRID: Final = Fraction(1, 8)
"""Quarters: rests begin and end on thirty-seconds, wherever a rounded note leaves a hair."""


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
        shape.children.append(("type", b"<type>%b</type>" % word(type_name)))
        shape.children += [("dot", b"<dot/>")] * dots
    return shape.finish()


def bar_rest(length: int) -> Note:
    """A rest that stands for a whole bar of some divisions."""
    return Note(0, length, _shape(length, "", 0, True), None)  # noqa: FBT003 - cached by position


def is_plain_rest(note: Note) -> bool:
    """True for a rest that is nothing but silence: no tuplet, no fermata."""
    shape = note.shape
    parts = {tag for tag, _ in shape.children}
    return note.pitch is None and not shape.notations and "time-modification" not in parts


@lru_cache(maxsize=64)
def _gap_shape(length: int) -> NoteShape:
    shape = NoteShape()
    shape.kind = "forward"
    shape.length = length
    shape.finish()
    shape.start = b"<forward><duration>%d</duration><voice>1</voice></forward>\n" % length
    shape.after_accidental = b""
    return shape


def by_metre(items: Sequence[Note | Sign], bar: FrameBar, divisions: int) -> list[Note | Sign]:
    """A bar whose rests that follow each other are one silence, written by its metre.

    Args:
        items: notes, rests and signs that fill the bar; a sign between two rests stays there.
        bar: its metre.
        divisions: per quarter.
    """
    settled: list[Note | Sign] = []
    silence: list[Note] = []
    for item in (*items, None):
        if isinstance(item, Note) and is_plain_rest(item):
            silence.append(item)
            continue
        whole = len(silence) == 1 and silence[0].length == bar.length
        if len(silence) > 1 or (whole and not silence[0].shape.whole_bar):
            stop = silence[-1].onset + silence[-1].length
            settled += rests_between(silence[0].onset, stop, bar, divisions)
        else:
            settled += silence
        silence = []
        if item is not None:
            settled.append(item)
    return settled


def rests_between(start: int, stop: int, bar: FrameBar, divisions: int) -> list[Note]:
    """Rests for a stretch of a bar, by the beats of its metre.

    A whole bar has one rest of its own; a short one, such as an upbeat or the closing bar that
    makes up for it, is written by its value. A stretch of
    less than :data:`HAIR_QUARTERS` is passed over without a sign (``<forward>``), at either end
    of rests too.

    Args:
        start: divisions from the start of the bar.
        stop: likewise.
        bar: its metre, and what an upbeat bar lacks at its start, count.
        divisions: per quarter.
    """
    if start >= stop:
        return []
    if start == 0 and stop == bar.length and not bar.short:
        return [bar_rest(bar.length)]
    if stop - start > LONGEST_QUARTERS * divisions:
        return [_rest(start, stop - start)]
    if stop - start < HAIR_QUARTERS * divisions:
        return [_gap(start, stop)]
    first, last = (
        _on_grid(bar.lacking + end, divisions) - bar.lacking for end in (start, stop)
    )
    if not start <= first < last <= stop:
        first, last = start, stop
    wanted = _lengths(bar.lacking + first, bar.lacking + last, divisions, bar.metre)
    if not wanted:
        return [_rest(start, stop - start)]
    rests, at = [_gap(start, first)] if start < first else [], first
    for length, type_name, dots in wanted:
        rests.append(_rest(at, length, type_name, dots))
        at += length
    return [*rests, _gap(last, stop)] if last < stop else rests


@lru_cache(maxsize=1024)
def _on_grid(onset: int, divisions: int) -> int:
    """The thirty-second a hair away from an onset; the onset where there is none."""
    step = _GRID * divisions
    near = round(onset / step) * step
    off = abs(near - onset) < HAIR_QUARTERS * divisions and near.denominator == 1
    return int(near) if off else onset


def _gap(start: int, stop: int) -> Note:
    return Note(start, stop - start, _gap_shape(stop - start), None)


@lru_cache(maxsize=1024)
def _lengths(
    start: int, stop: int, divisions: int, metre: Metre
) -> tuple[tuple[int, str, int], ...]:
    """Lengths in divisions, types and dots of rests; empty where divisions cannot say them."""
    rests = rest_lengths(Fraction(start, divisions), Fraction(stop, divisions), metre)
    if any((rest.length * divisions).denominator != 1 for rest in rests):
        return ()
    return tuple((int(rest.length * divisions), rest.type, rest.dots) for rest in rests)


def _rest(onset: int, length: int, type_name: str = "", dots: int = 0) -> Note:
    return Note(onset, length, _shape(length, type_name, dots, False), None)  # noqa: FBT003 - cached by position
