"""The second staff of a part hidden where its section is not divided.

How many staves a part has never changes within it, since readers fail on that. The unused
staff holds whole-bar rests and is hidden from the beginning of one system to that of another,
as engravers do (common practice, no source).
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from lxml import etree

from rewriter.musicxml.note_reading import serialised
from rewriter.stands.rests import is_short, opening_attributes, rests_in

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from lxml.etree import _Element as Element

    from rewriter.stands.copying import PartCopy

_FEWEST: Final = 4
"""Bars worth a system of their own (common practice, no source)."""

_SAID: Final = re.compile(rb'<staff-details number="2" print-object="(\w+)"/>')
_MULTI_BAR_REST: Final = re.compile(rb"<multiple-rest[^>]*>(\d+)")


def shown_and_hidden(upper: PartCopy, lower: PartCopy) -> dict[int, bool]:
    """Where the second staff comes and goes: by bar, whether it is shown from there on.

    Args:
        upper: what stands on the first; where both rest, the rest is not broken.
        lower: what stands on the second.

    Returns:
        Nothing for a staff that is shown throughout.
    """
    count = len(lower.bars)
    used = [index for index, bar in enumerate(lower.bars) if not rests_in(bar)]
    silent = [
        rests_in(over) and rests_in(bar)
        for over, bar in zip(upper.bars, lower.bars, strict=True)
    ]
    changes: dict[int, bool] = {}
    behind = 0
    for first, last in _systems(used, count):
        begin, end = first, last
        while begin and is_short(lower.bars[begin]):
            begin -= 1
        while end < count and (is_short(lower.bars[end]) or (silent[end - 1] and silent[end])):
            end += 1
        if begin - behind >= _FEWEST:
            changes[behind] = False
            changes[begin] = True
        behind = end
    if count - behind >= _FEWEST:
        changes[behind] = False
    return changes


def hide_in_every_bar(part: PartCopy) -> None:
    """Say of every bar on a hidden staff that it is hidden, and leave nothing to be seen there.

    Programs break the other systems where they like, and look for it where one begins; some
    take it for the bar in which it stands. Only within a multi-bar rest nothing is said, since
    that would break it.

    Args:
        part: finished but for this; its bars are changed.
    """
    hidden, counted = False, 0
    for index, bar in enumerate(part.bars):
        said = _SAID.search(bar)
        if said:
            hidden = said[1] == b"no"
        if hidden and (b"<fermata" in bar or (not said and counted <= 0)):
            measure = part.tree(index)
            _drop_fermatas(measure)
            if not said and counted <= 0:
                show_second_staff(measure, shown=False, at_break=False)
            part.bars[index] = serialised(measure)
        rest = _MULTI_BAR_REST.search(bar)
        counted = int(rest[1]) - 1 if rest else counted - 1


def _drop_fermatas(measure: Element) -> None:
    """Take fermatas off the second staff, since some programs draw them where it is hidden."""
    for notations in measure.findall("note[staff='2']/notations"):
        for fermata in notations.findall("fermata"):
            notations.remove(fermata)
        note = notations.getparent()
        if note is not None and not len(notations):
            note.remove(notations)


def show_second_staff(measure: Element, *, shown: bool, at_break: bool) -> None:
    """Show or hide the second staff from a bar on.

    Args:
        measure: is changed.
        shown: or else hidden.
        at_break: a system begins with the bar; the first bar of a part needs no break.
    """
    if at_break:
        page = measure.find("print")
        if page is None:
            page = etree.Element("print")
            measure.insert(0, page)
        page.set("new-system", "yes")
    details = etree.Element("staff-details", number="2")
    details.set("print-object", "yes" if shown else "no")
    attributes = opening_attributes(measure)
    behind = [
        child
        for child in attributes
        if child.tag in {"transpose", "for-part", "directive", "measure-style"}
    ]
    attributes.insert(len(attributes) - len(behind), details)


def _systems(used: Sequence[int], count: int) -> Iterator[tuple[int, int]]:
    """Stretches of bars that show the staff, and what lies between them: systems at least.

    Args:
        used: bars in which the staff has notes, in order.
        count: bars of the part.

    Yields:
        First bar, first bar behind it.
    """
    first, last = -1, -1
    for bar in used:
        if first < 0:
            first = bar if bar >= _FEWEST else 0
        elif bar - max(last, first + _FEWEST) >= _FEWEST:
            yield first, max(last, first + _FEWEST)
            first = bar
        last = bar + 1
    if first >= 0:
        end = max(last, first + _FEWEST)
        yield first, end if count - end >= _FEWEST else count
