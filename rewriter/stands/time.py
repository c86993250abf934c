"""Where things stand in time within one bar of a file, and divisions as it says them."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml.etree import _Element as Element


class InBar(NamedTuple):
    """A child of a bar in time; onset and length in quarters from the start of the bar."""

    element: Element
    onset: Fraction
    length: Fraction
    divisions: Fraction


def placed(measure: Element, divisions: Fraction) -> Iterator[InBar]:
    """Each child of a bar in time, as it stands in the file.

    Args:
        measure: the bar.
        divisions: of a quarter, in force where it begins.
    """
    now = chord = Fraction(0)
    for element in measure:
        if element.tag == "attributes":
            divisions = divisions_of(element.findtext("divisions")) or divisions
        length = Fraction(0)
        if element.tag in {"note", "backup", "forward"}:
            length = _length(element) / divisions
        is_chord = element.tag == "note" and element.find("chord") is not None
        yield InBar(element, chord if is_chord else now, length, divisions)
        if element.tag == "backup":
            now = max(now - length, Fraction(0))
        elif element.tag in {"note", "forward"} and not is_chord:
            chord = now
            now += length


class Reach(NamedTuple):
    """Where the time of a bar stands at its end, how far it came, and divisions there."""

    now: Fraction
    furthest: Fraction
    divisions: Fraction


def reach(measure: Element, divisions: Fraction) -> Reach:
    """How far the music of a bar reaches.

    Args:
        measure: the bar.
        divisions: of a quarter, in force where it begins.
    """
    at = Reach(Fraction(0), Fraction(0), divisions)
    for element, onset, length, now_divisions in placed(measure, divisions):
        at = at._replace(divisions=now_divisions)
        if element.tag == "backup":
            at = at._replace(now=max(onset - length, Fraction(0)))
        elif element.tag == "forward" or _moves_time(element):
            at = at._replace(now=onset + length, furthest=max(at.furthest, onset + length))
    return at


def _moves_time(element: Element) -> bool:
    return element.tag == "note" and element.find("chord") is None


def _length(element: Element) -> Fraction:
    try:
        return Fraction((element.findtext("duration") or "0").strip())
    except (ValueError, ZeroDivisionError):
        return Fraction(0)


def divisions_of(text: str | None) -> Fraction | None:
    """Divisions of a quarter, as an element says them; None for what they cannot be."""
    try:
        value = Fraction((text or "").strip())
    except (ValueError, ZeroDivisionError):
        return None
    return value if value > 0 else None


def number_text(value: Fraction) -> str:
    """A number of divisions as the file has it: whole, or a decimal.

    >>> number_text(Fraction(6)), number_text(Fraction(-5, 2))
    ('6', '-2.5')
    """
    if value.denominator == 1:
        return str(value.numerator)
    return f"{float(value):.6f}".rstrip("0").rstrip(".")
