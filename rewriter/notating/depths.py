"""Which strand of its section a line is written in, counted from the top.

The lines of a passage lie one under the other. Where part of a section holds a note while
another part begins the next passage, the two are not the same players, so not one strand.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import msgspec

from rewriter.placing.facts import StruckAgain
from rewriter.placing.strands import last_end, sound_together
from rewriter.sketch.listening import notes_in
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterator, Sequence

    from rewriter.placing.lines import Line


class Strand(msgspec.Struct, frozen=True):
    """Where in its section a line is written.

    Attributes:
        below: on the second staff.
        depth: how many strands are over it on its staff.
    """

    below: bool
    depth: int


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
    _follow_ties(found, passages)
    return found


def _follow_ties(found: list[list[int]], passages: Sequence[Sequence[Line]]) -> None:
    """A line that is alone is written where its tied note goes on, so that it is held.

    Between two that are tied to it in different strands the tie behind it is kept.
    """
    lone = [at for at, lines in enumerate(passages) if len(lines) == 1]
    tied_before: set[int] = set()
    for at in lone:
        if at and (depth := _depth_of_tied(found, passages, at, at - 1)) is not None:
            found[at][0] = depth
            tied_before.add(at)
    for at in reversed(lone):
        if at + 1 == len(passages):
            continue
        depth = _depth_of_tied(found, passages, at, at + 1)
        if depth is not None and at not in tied_before:
            found[at][0] = depth


def _depth_of_tied(
    found: Sequence[Sequence[int]], passages: Sequence[Sequence[Line]], at: int, beside: int
) -> int | None:
    """The strand in which the next or last passage has the note that a lone line ties to."""
    (line,) = passages[at]
    for depth, other in zip(found[beside], passages[beside], strict=True):
        if is_held_on(line, other) if at < beside else is_held_on(other, line):
            return depth
    return None


def is_held_on(before: Line, after: Line) -> bool:
    """True where the first note of a line is the tied end of another's last, at its octave."""
    if before.voice is not after.voice or not before.plays or not after.plays:
        return False
    bar = min(after.plays)
    octaves = after.plays[bar].per_note(bar)
    place = next((at for at, octave in enumerate(octaves) if octave is not None), None)
    if place is None or not notes_in(after.voice, bar)[place].shape.stops_tie:
        return False
    last = bar if place else bar - 1
    if last not in before.plays:
        return False
    ahead = before.plays[last].per_note(last)
    return bool(ahead) and ahead[place - 1] == octaves[place]


def struck_again(
    before: Sequence[tuple[Line, Hashable]], after: Sequence[tuple[Line, Hashable]]
) -> Iterator[StruckAgain]:
    """Notes held over a border that no strand holds: they go on in another than they began in.

    Args:
        before: lines of a section in a passage, each with the strand it is written in.
        after: likewise of the next.
    """
    for line, strand in after:
        strands = {lying for held, lying in before if is_held_on(held, line)}
        if strands and strand not in strands:
            bar = min(line.plays)
            octaves = line.plays[bar].per_note(bar)
            place = next(at for at, octave in enumerate(octaves) if octave is not None)
            yield StruckAgain(line.player, (bar, place))


def _numbered(passages: Sequence[Sequence[Line]]) -> Iterator[tuple[int, int, Line]]:
    for at, lines in enumerate(passages):
        for place, line in enumerate(lines):
            yield at, place, line
