"""Time in a piece: a point in a bar, and how far that is from the beginning."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from itertools import accumulate
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable


class Moment(NamedTuple):
    """A point of the music, as bars tell it.

    Attributes:
        bar: index from 0, whatever number is printed.
        onset: divisions from the start of the bar.
    """

    bar: int
    onset: int


class Timeline:
    """Where each bar begins, so that moments of different bars can be told apart and measured.

    Attributes:
        starts: divisions from the start of the piece to each bar, and to the end of the last.
    """

    __slots__ = ("starts",)

    def __init__(self, lengths: Iterable[int]) -> None:
        """Count from the beginning.

        Args:
            lengths: of the bars, in divisions.
        """
        self.starts = [0, *accumulate(lengths)]

    def time(self, moment: Moment) -> int:
        """Divisions from the start of the piece.

        >>> Timeline([4, 4, 3]).time(Moment(2, 1))
        9
        """
        return self.starts[moment.bar] + moment.onset

    def length(self, bar: int) -> int:
        """Divisions of a bar.

        >>> Timeline([4, 4, 3]).length(2)
        3
        """
        return self.starts[bar + 1] - self.starts[bar]

    def moment(self, time: int) -> Moment:
        """The moment at which something begins; where two bars meet, the later bar's.

        >>> Timeline([4, 4, 3]).moment(8), Timeline([4, 4, 3]).moment(11)
        (Moment(bar=2, onset=0), Moment(bar=3, onset=0))
        """
        bar = bisect_right(self.starts, time) - 1
        return Moment(bar, time - self.starts[bar])

    def ending(self, time: int) -> Moment:
        """The moment at which something ends; where two bars meet, the earlier bar's.

        >>> Timeline([4, 4, 3]).ending(8), Timeline([4, 4, 3]).ending(0)
        (Moment(bar=1, onset=4), Moment(bar=0, onset=0))
        """
        bar = self.bar_ending(time)
        return Moment(bar, time - self.starts[bar])

    def bar_ending(self, time: int) -> int:
        """Index of the bar in which something ends; where two meet, of the earlier.

        >>> Timeline([4, 4, 3]).bar_ending(8)
        1
        """
        return max(bisect_left(self.starts, time) - 1, 0)
