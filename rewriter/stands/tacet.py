"""The sheet of a section that rests throughout."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from lxml import etree

from rewriter.musicxml.note_reading import serialised
from rewriter.stands.copying import PartCopy
from rewriter.stands.rests import is_plain_rest, opening_attributes

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

_TACET: Final = (
    b'<direction placement="above"><direction-type><words font-weight="bold" font-size="14"'
    b' font-style="normal">'
    b"TACET</words></direction-type></direction>"
)


def tacet_sheet(part: PartCopy) -> PartCopy:
    """All bars in one rest under the word TACET: nobody has to count through this sheet.

    Keys, barlines, repeats, words and marks would only break the rest and are left out; metres
    and bar numbers stay, so that the bars are as long as in the score.
    """
    bars = []
    for index, bar in enumerate(part.bars):
        if index and is_plain_rest(bar):
            bars.append(bar)
            continue
        measure = part.tree(index)
        for child in list(measure):
            keeps = child.tag in {"note", "forward", "backup"}
            for signs in child.findall("notations"):  # nobody waits through a fermata either
                child.remove(signs)
            if child.tag == "attributes":
                _keep_metre(child, first=index == 0)
                keeps = len(child) > 0
            if child.tag == "barline":
                keeps = index == len(part.bars) - 1 and _keep_bar_style(child)
            if not keeps:
                measure.remove(child)
        if index == 0:
            opening = opening_attributes(measure)
            measure.insert(measure.index(opening) + 1, etree.fromstring(_TACET))
        bars.append(serialised(measure))
    return PartCopy(part.of, bars)


def _keep_bar_style(barline: Element) -> bool:
    """Make a right barline a plain one of its style; False for what is none."""
    for sign in list(barline):
        if sign.tag != "bar-style":
            barline.remove(sign)
    return len(barline) > 0 and barline.get("location", "right") == "right"


def _keep_metre(attributes: Element, *, first: bool) -> None:
    for child in list(attributes):
        if not (first or child.tag in {"divisions", "time"}):
            attributes.remove(child)
