"""What keys and transpositions of a sketch say; refused where they cannot be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.problems import Refused
from rewriter.scores.staff_signs import alter_in, fifths_in, read_transposition
from rewriter.theory.fifths import transpose
from rewriter.theory.numbers import whole
from rewriter.theory.pitch import SEMITONES_OF_STEP, Pitch

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

    from rewriter.theory.fifths import Interval


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
    return alter_in(text, _no_alteration)


def _no_alteration(text: str) -> None:
    raise Refused(f'an alteration of "{text}" semitones cannot be', "correct it")


def whole_number(text: str | None) -> int:
    """A whole number of sharps or flats.

    Raises:
        Refused: it is none.
    """
    number = whole(text or "")
    if number is None:
        raise Refused(f'"{text}" sharps or flats in a key cannot be', "correct the key")
    return number


def fifths_of(key: Element) -> int:
    """Sharps, or flats as negative; 0 for a key that is written letter by letter.

    Raises:
        Refused: no key has so many.
    """
    element = key.find("fifths")
    return 0 if element is None else fifths_in(element.text, _no_key)


def _no_key(text: str) -> None:
    fifths = whole_number(text)
    raise Refused(f"a key of {abs(fifths)} sharps or flats cannot be", "correct the key")


def transposition(element: Element) -> Interval:
    """From written to sounding pitch, as a ``<transpose>`` says.

    Raises:
        Refused: no instrument transposes so far.
    """
    return read_transposition(element, _no_transposition).interval


def _no_transposition(text: str) -> None:
    raise Refused(f'a transposition by "{text}" cannot be', "correct it")
