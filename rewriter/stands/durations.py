"""Lengths as a file says them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from lxml import etree

if TYPE_CHECKING:
    from fractions import Fraction

    from lxml.etree import _Element as Element


def number_text(value: Fraction) -> str:
    """A number of divisions as the file has it: whole, or a decimal.

    >>> from fractions import Fraction
    >>> number_text(Fraction(6)), number_text(Fraction(-5, 2))
    ('6', '-2.5')
    """
    if value.denominator == 1:
        return str(value.numerator)
    return f"{float(value):.6f}".rstrip("0").rstrip(".")


def move(tag: Literal["forward", "backup"], quarters: Fraction, divisions: Fraction) -> Element:
    """A move in time.

    Args:
        tag: which way.
        quarters: how far.
        divisions: of a quarter, in force there.
    """
    element = etree.Element(tag)
    etree.SubElement(element, "duration").text = number_text(quarters * divisions)
    return element
