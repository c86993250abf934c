"""What keys and transpositions of a sketch say; refused where they cannot be."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.problems import Refused
from rewriter.theory.fifths import Interval, transpose
from rewriter.theory.pitch import SEMITONES_OF_STEP, Pitch

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

FURTHEST: Final = 60
"""Semitones, steps or octaves: a transposition beyond is a damaged file."""

MOST_ALTER: Final = 4
"""Semitones."""

MOST_FIFTHS: Final = 11
"""Keys beyond seven are theory, beyond eleven a damaged file."""

_STEPS_OF_SEMITONES: Final = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)


def moved_step(step: Element, alter: Element, interval: Interval) -> tuple[str, float]:
    """One letter of a key without a number of sharps or flats, moved; letter and semitones."""
    letter = (step.text or "").strip()
    if letter not in SEMITONES_OF_STEP:
        raise Refused(f'a key with "{letter}" cannot be', "correct the key")
    moved = transpose(Pitch(letter, semitones_of(alter.text), 4), interval)
    step.text, alter.text = moved.step, f"{moved.alter:g}"
    return moved.step, moved.alter


def semitones_of(text: str | None) -> float:
    """What an ``<alter>`` of a key or chord symbol says.

    Raises:
        Refused: no alteration is so large, or it is no number.
    """
    try:
        semitones = float(text or "0")
    except ValueError:
        semitones = MOST_ALTER + 1.0
    if not abs(semitones) <= MOST_ALTER:
        raise Refused(f'an alteration of "{text}" semitones cannot be', "correct it")
    return semitones


def whole_number(text: str | None) -> int:
    """A whole number of sharps or flats.

    Raises:
        Refused: it is none.
    """
    try:
        return int((text or "").strip())
    except ValueError:
        raise Refused(
            f'"{text}" sharps or flats in a key cannot be', "correct the key"
        ) from None


def fifths_of(key: Element) -> int:
    """Sharps, or flats as negative; 0 for a key that is written letter by letter.

    Raises:
        Refused: no key has so many.
    """
    element = key.find("fifths")
    if element is None:
        return 0
    fifths = whole_number(element.text)
    if abs(fifths) > MOST_FIFTHS:
        raise Refused(f"a key of {abs(fifths)} sharps or flats cannot be", "correct the key")
    return fifths


def transposition(element: Element) -> Interval:
    """From written to sounding pitch, as a ``<transpose>`` says.

    Raises:
        Refused: no instrument transposes so far.
    """
    semitones = _whole_of(element, "chromatic")
    octaves = _whole_of(element, "octave-change")
    if element.find("diatonic") is not None:
        steps = _whole_of(element, "diatonic")
    else:
        size = abs(semitones)
        steps = _STEPS_OF_SEMITONES[size % 12] + size // 12 * 7
        steps = -steps if semitones < 0 else steps
    return Interval(steps + 7 * octaves, semitones + 12 * octaves)


def _whole_of(element: Element, tag: str) -> int:
    text = (element.findtext(tag) or "0").strip()
    try:
        steps = int(float(text))
    except (ValueError, OverflowError):
        steps = FURTHEST + 1
    if abs(steps) > FURTHEST:
        raise Refused(f'a transposition by "{text}" cannot be', "correct it")
    return steps
