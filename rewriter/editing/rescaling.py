"""Durations in elements that stay, counted in other divisions."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.editing.bar_reading import before_barline
from rewriter.editing.edits import Amended, Edit, Inserted
from rewriter.editing.note_writing import number

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rewriter.editing.bar_reading import WrittenBar

_COUNTED: Final = re.compile(
    rb"<!--.*?-->|<!\[CDATA\[.*?\]\]>|<\?.*?\?>"
    rb"|<(?:duration|offset|divisions)(?:\s[^>]*)?>\s*(-?[0-9]*\.?[0-9]+)\s*</",
    re.DOTALL,
)


class Recounted(NamedTuple):
    """A number in an element, and what stands there in other divisions."""

    start: int
    stop: int
    data: bytes


def recounted(element: bytes, times: int) -> Iterator[Recounted]:
    """The numbers of an element that count in divisions, in finer ones.

    Args:
        element: as it stands in the file.
        times: how many new divisions make an old one.

    >>> list(recounted(b"<backup><duration>4</duration></backup>", 3))
    [Recounted(start=18, stop=19, data=b'12')]
    """
    for match in _COUNTED.finditer(element):
        if match[1]:
            start, stop = match.span(1)
            yield Recounted(start, stop, number(Fraction(match[1].decode()) * times))


def all_recounted(element: bytes, times: int) -> bytes:
    """An element with all its numbers in finer divisions."""
    if times == 1:
        return element
    pieces, at = [], 0
    for start, stop, data in recounted(element, times):
        pieces += [element[at:start], data]
        at = stop
    return b"".join([*pieces, element[at:]])


def finer(bar: WrittenBar, staying: Iterable[int], times: int) -> Iterator[Edit]:
    """Finer divisions at the bar's start, and what stays counted in them.

    Args:
        bar: not changed.
        staying: indexes of children.
        times: how many new divisions make an old one.
    """
    if not _declares_them(bar):
        yield Inserted(bar.where, 0, _divisions(bar.divisions * times))
    for place in staying:
        for start, stop, data in recounted(bar.children[place].own, times):
            yield Amended(bar.where, place, start, stop, data)


def _declares_them(bar: WrittenBar) -> bool:
    """True where divisions are declared before anything counts in them."""
    for child in bar.children:
        if b"<divisions" in child.data:
            return True
        if next(recounted(child.data, 1), None):
            return False
    return False


def restored(bar: WrittenBar) -> Edit:
    """The old divisions at the bar's end."""
    last = bar.children[-1].divisions if bar.children else bar.divisions
    return Inserted(bar.where, before_barline(bar), _divisions(last))


def _divisions(value: Fraction) -> bytes:
    return b"<attributes><divisions>%b</divisions></attributes>" % number(value)
