"""A bar in which a part rests."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.editing.note_writing import number
from rewriter.musicxml.escaping import attribute

if TYPE_CHECKING:
    from fractions import Fraction


def resting_bar(length: Fraction, name: str) -> bytes:
    """A bar of rest.

    Args:
        length: divisions.
        name: printed number.
    """
    return (
        b'<measure%b><note><rest measure="yes"/><duration>%b</duration><voice>1</voice></note>'
        b"</measure>"
    ) % (attribute("number", name), number(length))
