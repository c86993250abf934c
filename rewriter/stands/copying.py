"""The parts of a score copied for the stands: what belongs to the score's page stays behind.

Most bars go onto a stand as they are. So a bar is read as a tree only where something in it has
to be looked at or changed.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.heading import KEPT_SKETCH, is_made_from_a_sketch
from rewriter.musicxml.note_reading import serialised
from rewriter.musicxml.parsing import safe_parser
from rewriter.scores.children import saying_in
from rewriter.scores.leaving import ASIDES, left_out_of

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

    from rewriter.scores.score import Part, Score

_WIDTH: Final = re.compile(rb'\A(<measure[^>]*) width="[^"]*"')
_PAGE_OF_THE_SCORE: Final = ("new-system", "new-page", "blank-page", "page-number")
_LAYOUT_OF_THE_SCORE: Final = (
    "page-layout", "system-layout", "staff-layout", "measure-layout",
)  # fmt: skip


class PartCopy(NamedTuple):
    """A part that is being made for the stands.

    Attributes:
        of: the part of the score it is made of, which stays as it is.
        bars: each ``<measure>`` as bytes; its own, to be changed.
    """

    of: Part
    bars: list[bytes]

    def tree(self, bar: int) -> Element:
        """A bar as a tree of its own, without white space between elements."""
        return etree.fromstring(self.bars[bar], safe_parser())

    def saying(self, *openings: bytes) -> list[int]:
        """Indexes of the bars in which elements of some kinds stand, by what begins them."""
        return saying_in(self.bars, openings)

    def having(self, tag: bytes) -> list[int]:
        """Indexes of the bars in which a piece of text stands, such as ``<print``."""
        return [index for index, bar in enumerate(self.bars) if tag in bar]


def copies(score: Score) -> list[PartCopy]:
    """Every part of a score, score order, without comments and without the score's page.

    A sketch that is kept under the strings is nobody's part.

    Args:
        score: not changed.
    """
    parts = score.parts
    if is_made_from_a_sketch(score.header):
        parts = [part for part in parts if not part.id.startswith(KEPT_SKETCH)] or parts
    # The tool's own scores have none of what would have to go.
    music = (list(part.bars) if score.own else _cleaned(part) for part in parts)
    return [PartCopy(part, bars) for part, bars in zip(parts, music, strict=True)]


def _cleaned(part: Part) -> list[bytes]:
    bars = left_out_of(part.bars, ASIDES)[0] if part.has_asides else list(part.bars)
    for index, bar in enumerate(bars):
        kept = _WIDTH.sub(rb"\1", bar, count=1)
        if b"<print" in kept:
            measure = etree.fromstring(kept, safe_parser())
            _forget_page(measure)
            kept = serialised(measure)
        bars[index] = kept
    return bars


def _forget_page(measure: Element) -> None:
    """Leave behind where the score's page breaks its lines."""
    for element in measure.findall("print"):
        for key in _PAGE_OF_THE_SCORE:
            element.attrib.pop(key, None)
        for child in list(element):
            if child.tag in _LAYOUT_OF_THE_SCORE:
                element.remove(child)
        if len(element) == 0 and not element.attrib:
            measure.remove(element)
