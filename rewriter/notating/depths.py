"""Which strand of its section a line is written in, counted from the top.

The lines of a passage lie one under the other. Where part of a section holds a note while
another part begins the next passage, the two are not the same players, so not one strand.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.placing.strands import last_end, sound_together
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from rewriter.placing.lines import Line


class Beside(NamedTuple):
    """A line that begins while another of its section still holds a note.

    Attributes:
        before: passage and place of the line that holds.
        after: passage and place of the line that begins.
        until: where the held note ends.
    """

    before: tuple[int, int]
    after: tuple[int, int]
    until: Moment


def held_beside(passages: Sequence[Sequence[Line]]) -> list[Beside]:
    """Every line that begins beside a note held from a passage before.

    Args:
        passages: the lines of one section in each, in the order of the score.
    """
    return [
        Beside((at, place), (index, number), Moment(bar, last_end(held.plays[bar], bar)))
        for index, number, line in _numbered(passages)
        if line.plays
        for bar in (min(line.plays),)
        for at, place, held in _numbered(passages[:index])
        if bar in held.plays and sound_together(held.plays[bar], line.plays[bar], bar)
    ]


def depths(
    passages: Sequence[Sequence[Line]],
    beside: Sequence[Beside],
    height: Callable[[Line], float],
) -> list[list[int]]:
    """For each line how many strands are over it.

    Args:
        passages: the lines of one section in each, top line first.
        beside: as :func:`held_beside` found them.
        height: of a line; less for a higher one.
    """
    found = [list(range(len(lines))) for lines in passages]
    settled = False
    while not settled:
        settled = True
        for (at, place), (index, number), _ in beside:
            if found[at][place] != found[index][number]:
                continue
            settled = False
            is_higher = height(passages[at][place]) <= height(passages[index][number])
            lower, first = (index, number) if is_higher else (at, place)
            found[lower][first:] = [depth + 1 for depth in found[lower][first:]]
    return found


def _numbered(passages: Sequence[Sequence[Line]]) -> Iterator[tuple[int, int, Line]]:
    for at, lines in enumerate(passages):
        for place, line in enumerate(lines):
            yield at, place, line
