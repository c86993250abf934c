"""Ways of playing that words in a part ask for, where they stand and how long they hold."""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from rewriter.scores.directions import read_direction_form
from rewriter.theory.techniques import ORDINARY, after, techniques_in

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.theory.techniques import Family, Technique, Ways


class MannerTold(NamedTuple):
    """Words for a way of playing, where they stand.

    Attributes:
        time: from which they hold, in divisions from the start of the piece.
        staff: counted from the top, as text; empty for all.
        bar: index of the bar they stand in.
        technique: they ask for.
    """

    time: int
    staff: str
    bar: int
    technique: Technique


class Manners:
    """How a part is played, movement by movement: each begins as everybody plays.

    Attributes:
        movements: what is told in each, in the order of time; with its start and end in
            divisions from the start of the piece.
    """

    def __init__(self, score: Finished, part: int) -> None:
        """Gather what is told.

        Args:
            score: it is in.
            part: index in score order.
        """
        starts = score.reading.timeline.starts
        borders = [starts[bar] for bar in score.movements[1:]]
        told = sorted(_told_in(score, part), key=lambda one: one.time)
        apart: list[list[MannerTold]] = [[] for _ in range(len(borders) + 1)]
        for one in told:
            apart[bisect_right(borders, one.time)].append(one)
        edges = [0, *borders, starts[-1]]
        self.movements = list(zip(edges, edges[1:], apart, strict=False))

    def changes(self, family: Family) -> Iterator[tuple[MannerTold, str, str]]:
        """Words that change a way of playing, with how it was before and is then.

        Args:
            family: ``bow``, ``mute`` ...
        """
        for _, _, told in self.movements:
            ways: Ways = {}
            for one in told:
                before = _now(ways, family)
                ways = after(ways, one.technique)
                if _now(ways, family) != before:
                    yield one, before, _now(ways, family)

    def stretches(self, family: Family, value: str) -> Iterator[tuple[MannerTold, int, bool]]:
        """Where a way of playing holds: from which words, until when, whether it is ended.

        Args:
            family: ``bow``, ``mute`` ...
            value: such as ``pizz``.

        Returns:
            Of each stretch its first words; its end in divisions from the start of the piece;
            False where that is only the end of the movement.
        """
        for _, end, told in self.movements:
            ways: Ways = {}
            first: MannerTold | None = None
            for one in told:
                ways = after(ways, one.technique)
                if _now(ways, family) == value:
                    first = first or one
                elif first is not None:
                    yield first, one.time, True
                    first = None
            if first is not None:
                yield first, end, False


def _now(ways: Ways, family: Family) -> str:
    return ways[family].value if family in ways else ORDINARY[family]


def _told_in(score: Finished, part: int) -> Iterator[MannerTold]:
    bars = score.reading.bars(part)
    for at in score.score.parts[part].saying(b"<words"):
        start = score.reading.timeline.starts[at]
        for event in bars[at].events:
            if event.tag != "direction" or b"<words" not in event.data:
                continue
            form = read_direction_form(event.data)
            # Words put a little behind their place are for the note they stand before.
            early = min(form.offset, Fraction(0))
            time = start + event.onset + round(early * bars[at].scale_at(event.place))
            for sign in form.signs:
                if sign.tag == "words":
                    for technique in techniques_in(sign.text):
                        yield MannerTold(time, form.staff, at, technique)
