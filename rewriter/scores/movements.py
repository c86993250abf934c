"""Movements of a score told apart, and places as people name them.

A movement begins where printed numbers begin again, and where words stand at the top of a new
page behind a final barline. A final barline alone begins none.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.scores.score import Part

_FINAL: Final = b"<bar-style>light-heavy</bar-style>"
_REPEATED: Final = b"<repeat"
_DIGITS: Final = 12
"""As many as a number may have; see ``theory.numbers``."""


class Place(NamedTuple):
    """A bar as people and files name it.

    Attributes:
        movement: counted from 1.
        printed: number of the bar as printed; ``?`` where it has none.
        counted: from 1, from the start of the file.
    """

    movement: int
    printed: str
    counted: int


def movement_starts(part: Part) -> list[int]:
    """Index of the first bar of each movement; empty for a part without bars.

    Args:
        part: the first of the score, as a rule.
    """
    starts = [0] if part.bars else []
    highest = -1
    closed = {at + 1 for at in part.saying(_FINAL) if _REPEATED not in part.bars[at]}
    for index, printed in enumerate(part.numbers):
        is_number = printed.isdecimal() and printed.isascii() and len(printed) <= _DIGITS
        number = int(printed) if is_number else None
        begins_again = number is not None and number <= 1 and highest > 1
        if index and (begins_again or (index in closed and _titled(part, index))):
            starts.append(index)
            highest = -1
        highest = max(highest, -1 if number is None else number)
    return starts


def place_of(part: Part, starts: Sequence[int], bar: int) -> Place:
    """The place of a bar.

    Args:
        part: it is in.
        starts: from :func:`movement_starts`.
        bar: index.
    """
    return Place(sum(start <= bar for start in starts), part.numbers[bar], bar + 1)


def bar_text(part: Part, bar: int) -> str:
    """A bar of a score that is refused, for people: ``bar 3``, ``movement 2, bar 3``.

    Args:
        part: it is in.
        bar: index.
    """
    starts = movement_starts(part)
    place = place_of(part, starts, bar)
    said = f"bar {place.printed}"
    return f"movement {place.movement}, {said}" if len(starts) > 1 else said


def _titled(part: Part, bar: int) -> bool:
    """True where a new page or system begins with words or a metre before any note."""
    head = part.bars[bar].partition(b"<note")[0]
    return b"<words" in head and b"<print" in head and b'new-page="yes"' in head
