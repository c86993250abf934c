"""Getting from where one element ends to where the next begins: ``<backup>``, ``<forward>``."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from rewriter.editing.note_writing import number

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.editing.bar_reading import Timed


class Move(NamedTuple):
    """A step in time.

    Attributes:
        by: quarters; forwards above zero.
    """

    by: Fraction


def move_bytes(move: Move, divisions: Fraction) -> bytes:
    """The element.

    Args:
        move: not 0.
        divisions: of a quarter.

    >>> move_bytes(Move(Fraction(-1, 2)), Fraction(4))
    b'<backup><duration>2</duration></backup>'
    """
    tag = b"forward" if move.by > 0 else b"backup"
    duration = number(abs(move.by) * divisions)
    return b"<%b><duration>%b</duration></%b>" % (tag, duration, tag)


class Going:
    """Goes through a bar, and keeps the moves that still lead where they should.

    Attributes:
        at: quarters from the start of the bar.
        dropped: indexes of moves that go.
    """

    def __init__(self, *, anew: bool) -> None:
        """Begin where the bar begins.

        Args:
            anew: True to write moves anew that say nothing but how far.
        """
        self.at = Fraction(0)
        self.dropped: set[int] = set()
        self._met: list[tuple[int, Timed]] = []
        self._anew = anew

    def meet(self, place: int, move: Timed) -> None:
        """Come to a move of the file; what becomes of it depends on what comes next."""
        self._met.append((place, move))

    def to(self, wanted: Fraction) -> Iterator[Move]:
        """Go to a moment; what has to be written for it."""
        met, self._met = self._met, []
        reached = [self.at]
        for _, move in met:
            by = -move.length if move.tag == "backup" else move.length
            if reached[-1] + by < 0:  # where no music is
                break
            reached.append(reached[-1] + by)
        plain = self._anew and all(_is_plain(move) for _, move in met)
        kept = 0
        if not plain:
            kept = max((n for n, at in enumerate(reached) if at == wanted), default=0)
        self.dropped |= {place for place, _ in met[kept:]}
        at, self.at = reached[kept], wanted
        if at != wanted:
            yield Move(wanted - at)

    def to_the_end(self, end: Fraction) -> Iterator[Move]:
        """Go to where the bar ended, if it does not end later now."""
        if self._met or self.at < end:
            yield from self.to(end)


def _is_plain(move: Timed) -> bool:
    """True for a move of which nothing but its length is said."""
    return move.own.count(b"<") == len(("<move>", "<duration>", "</duration>", "</move>"))
