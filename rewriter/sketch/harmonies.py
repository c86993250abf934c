"""Chord symbols, kept on request and moved to the key of the score."""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING

from lxml import etree

from rewriter.musicxml.note_reading import serialised
from rewriter.problems import Refused
from rewriter.sketch.signatures import semitones_of
from rewriter.sketch.sounds import scaled_offset
from rewriter.theory.fifths import transpose
from rewriter.theory.pitch import SEMITONES_OF_STEP, Pitch

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

    from rewriter.theory.fifths import Interval


def moved_harmony(harmony: Element, scale: float, interval: Interval) -> bytes:
    """A ``<harmony>`` for the top part, as bytes.

    Args:
        harmony: of the sketch; not changed, since the sketch may be read again.
        scale: output divisions for one division of the sketch.
        interval: from written to sounding, and on to another key.

    Raises:
        Refused: its offset is no number, or a letter of it none.
    """
    harmony = deepcopy(harmony)
    for tag in ("staff", "voice"):
        for child in harmony.findall(tag):
            harmony.remove(child)
    for offset in harmony.findall("offset"):
        offset.text = str(scaled_offset(offset.text, scale))
    for tag in ("root", "bass"):
        for child in harmony.findall(tag):
            _move(child, tag, interval)
    return serialised(harmony) + b"\n"


def _move(element: Element, tag: str, interval: Interval) -> None:
    step = element.find(f"{tag}-step")
    alter = element.find(f"{tag}-alter")
    if step is None or interval == (0, 0):
        return
    letter = (step.text or "").strip()
    raised = semitones_of(alter.text) if alter is not None else 0.0
    if letter not in SEMITONES_OF_STEP:
        raise Refused(f'a chord on "{letter}" cannot be', "correct the chord symbol")
    moved = transpose(Pitch(letter, raised, 4), interval)
    step.text = moved.step
    step.attrib.pop("text", None)
    if alter is not None:
        element.remove(alter)
    if moved.alter:
        alter = etree.Element(f"{tag}-alter")
        alter.text = f"{moved.alter:g}"
        step.addnext(alter)
