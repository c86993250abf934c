"""Metre: how long a bar is, where its beats lie, how silence in it is written."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple


class RestLength(NamedTuple):
    """One written rest.

    Attributes:
        length: quarters.
        type: MusicXML note type such as ``quarter``; empty where no dotted value fits.
        dots: number of dots.
    """

    length: Fraction
    type: str
    dots: int


class Metre(NamedTuple):
    """A time signature.

    Attributes:
        length: of a bar, in quarters; 0 for unmeasured music (senza misura).
        beat_unit: denominator of the printed signature; beats are counted in it.
        groups: lengths of the beats felt, in quarters, one after the other over the bar:
            4/4 is four quarters, 6/8 two dotted quarters, 3+2/8 a dotted quarter and a quarter.
        compound: True when the beats felt divide by three (6/8, 9/8, 12/8).
    """

    length: Fraction
    beat_unit: int
    groups: tuple[Fraction, ...]
    compound: bool


def metre_from_times(pairs: Sequence[tuple[str, str]], *, symbol: str = "") -> Metre:
    """Metre from MusicXML <beats> and <beat-type> texts, in document order.

    Raises:
        ValueError: a text is no number above zero or no sum of such.
    """
    raise NotImplementedError


def beat_of(onset: Fraction, metre: Metre) -> Fraction:
    """Beat of an onset (quarters from the start of the bar), from 1, in denominators."""
    raise NotImplementedError


def note_type(length: Fraction) -> tuple[str, int] | None:
    """MusicXML note type and dots of a length in quarters; None where none fits."""
    raise NotImplementedError


def rest_lengths(start: Fraction, stop: Fraction, metre: Metre) -> list[RestLength]:
    """How silence from start to stop (quarters from the start of the bar) is written."""
    raise NotImplementedError
