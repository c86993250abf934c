"""A whole bar of another score moved to another key."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.editing.note_writing import pitch_bytes
from rewriter.musicxml.note_reading import serialised
from rewriter.scores.children import element_of
from rewriter.sketch.harmonies import moved_harmony
from rewriter.theory.fifths import kept_within_seven, transpose
from rewriter.theory.numbers import decimal
from rewriter.theory.pitch import SEMITONES_OF_STEP, Pitch

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

    from rewriter.theory.fifths import Interval


def moved_bar(bar: bytes, by: Interval, *, first: bool) -> bytes:
    """A bar with its notes, chord symbols and keys moved, printed accidentals left out.

    Args:
        bar: ``<measure>`` as lxml writes it.
        by: so much higher.
        first: True for a bar at whose start the key of its own score was stated anew, which
            goes: the key there is the moved one already.
    """
    measure = element_of(bar)
    for attributes in measure.findall("attributes"):
        for key in attributes.findall("key"):
            if first and attributes is measure.find("attributes"):
                attributes.remove(key)
            else:
                _move_key(key, by)
        if not len(attributes):
            measure.remove(attributes)
    for note in measure.findall("note"):
        _move_note(note, by)
    for harmony in measure.findall("harmony"):
        harmony.getparent().replace(harmony, element_of(moved_harmony(harmony, 1, by)))  # type: ignore[union-attr]  # found inside it
    return serialised(measure)


def _move_key(key: Element, by: Interval) -> None:
    fifths = key.find("fifths")
    said = decimal(fifths.text or "") if fifths is not None else None
    if fifths is not None and said is not None:
        fifths.text = str(int(said) + kept_within_seven(int(said), by).fifths)


def _move_note(note: Element, by: Interval) -> None:
    pitch = note.find("pitch")
    if pitch is None:
        return
    step = (pitch.findtext("step") or "").strip()
    octave = decimal(pitch.findtext("octave") or "")
    if step not in SEMITONES_OF_STEP or octave is None:
        return
    alter = float(decimal(pitch.findtext("alter") or "") or 0)
    moved = transpose(
        Pitch(step, int(alter) if alter == int(alter) else alter, int(octave)), by
    )
    note.replace(pitch, element_of(pitch_bytes(moved)))
    for accidental in note.findall("accidental"):
        note.remove(accidental)
