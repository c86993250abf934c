"""What an element beside the notes says, worked out once for all that say the same."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.signs import barline, breaks, direction, figures, harmony
from rewriter.comparing.things import plain_text
from rewriter.musicxml.remembering import Remembered
from rewriter.scores.children import element_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from fractions import Fraction

    from lxml.etree import _Element as Element

    from rewriter.comparing.things import Sign
    from rewriter.theory.fifths import Interval

_READERS: Final[dict[str, Callable[[Element, Interval], Iterator[Sign]]]] = {
    "direction": lambda element, _by: direction(element),
    "barline": lambda element, _by: barline(element),
    "print": lambda element, _by: breaks(element),
    "harmony": lambda element, by: iter((harmony(element, by),)),
    "figured-bass": lambda element, _by: iter((figures(element),)),
}
TAGS: Final = _READERS.keys()
"""Elements that say something."""


class Beside(NamedTuple):
    """What an element says.

    Attributes:
        signs: one by one.
        staff: counted from the top, as text; empty for what belongs to all.
        offset: divisions of the file after its place at which it is meant.
        edge: of the bar, ``left`` or any other; empty for what stands at its own place.
    """

    signs: tuple[Sign, ...]
    staff: str
    offset: float
    edge: str

    def late(self, scale: Fraction) -> int:
        """The offset in divisions counted in.

        Args:
            scale: of those for one of the file's.
        """
        return round(self.offset * float(scale)) if self.offset else 0


_KNOWN: Final[Remembered[Beside]] = Remembered()


def beside_notes(data: bytes, tag: str, by: Interval) -> Beside:
    """What an element says.

    Args:
        data: as bytes.
        tag: one of :data:`TAGS`.
        by: moves chord symbols.
    """
    key = (data, by) if tag == "harmony" else data
    known = _KNOWN.get(key)
    if known is None:
        element = element_of(data)
        signs = tuple(_READERS[tag](element, by))
        of_all = tag in {"barline", "print"}
        staff = "" if of_all else plain_text(element.findtext("staff")) or "1"
        edge = (element.get("location") or "right") if tag == "barline" else ""
        known = Beside(signs, staff, _offset(element), edge)
        _KNOWN.keep(key, known)
    return known


def _offset(element: Element) -> float:
    try:
        said = float(plain_text(element.findtext("offset")) or 0)
    except ValueError:
        return 0
    return said if abs(said) < _FARTHEST else 0


_FARTHEST: Final = 1e9
"""Divisions; what is meant farther away is damaged."""
