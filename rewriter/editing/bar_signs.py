"""Which accidentals the notes of a bar print, staff by staff, in the order they sound."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.musicxml.accidentals import COURTESY, AccidentalState, alteration_of
from rewriter.scores.children import element_of

if TYPE_CHECKING:
    from collections.abc import Iterable
    from fractions import Fraction

    from rewriter.editing.setting import Setting
    from rewriter.theory.pitch import Pitch


ITSELF: Final = 1 << 30
"""The order of a child itself, behind all that is put before it."""


class Head(NamedTuple):
    """A note on a staff.

    Attributes:
        onset: quarters from the start of the bar.
        place: (index of the child it stands before or is, its order there).
        staff: as text; empty where it is not said.
        pitch: written.
        accidental: what it prints; empty for nothing.
        tied: True when a tie ends here.
    """

    onset: Fraction
    place: tuple[int, int]
    staff: str
    pitch: Pitch
    accidental: bytes
    tied: bool


class KeyChange(NamedTuple):
    """An ``<attributes>`` in the bar."""

    onset: Fraction
    place: tuple[int, int]
    data: bytes


def signs_of(
    heads: Iterable[Head], changes: Iterable[KeyChange], setting: Setting
) -> dict[tuple[int, int], bytes]:
    """The ``<accidental>`` each note prints, by its place; empty for none.

    A sign printed without need stays if it means the pitch it stands at; none is added, since
    notes that stay are to look as before.

    Args:
        heads: of one bar.
        changes: of the same.
        setting: where the bar begins; goes on to its end.
    """
    states: dict[str, AccidentalState] = {}
    found: dict[tuple[int, int], bytes] = {}
    both: list[Head | KeyChange] = [*heads, *changes]
    for one in sorted(both, key=lambda one: (one.onset, one.place)):
        if isinstance(one, KeyChange):
            setting.take(one.data)
            if b"<key" in one.data:
                for staff, state in states.items():
                    state.change_key(setting.key(staff))
            continue
        staff = one.staff or "1"
        if staff not in states:
            states[staff] = AccidentalState()
            states[staff].change_key(setting.key(staff))
        step, alter, octave = one.pitch
        sign = states[staff].sign(step, alter, octave, None, tied=one.tied)
        if _means(one.accidental, alter):
            sign = one.accidental
        elif COURTESY in sign:
            sign = b""
        found[one.place] = sign
    return found


def _means(accidental: bytes, alter: float) -> bool:
    """True for a sign that can stand at a note altered like this."""
    if not accidental:
        return False
    meant = alteration_of((element_of(accidental).text or "").strip())
    return meant is None or meant == alter
