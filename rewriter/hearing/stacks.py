"""Stacks heard in a finished score: lines that double each other at a time, by octaves."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from rewriter.hearing.doublings import Doubling
    from rewriter.hearing.lines import Place

_Depths = dict["Place", int]
"""Octaves below the top of a group, by line."""


class HeardLevel(NamedTuple):
    """Lines that share an octave.

    Attributes:
        depth: octaves below the top of the stack, empty ones counted.
        lines: in score order.
    """

    depth: int
    lines: tuple[Place, ...]


class HeardStack(NamedTuple):
    """Lines that carry one thing in unison or octaves, for as long as all of them do.

    Attributes:
        start: divisions from the start of the piece.
        stop: likewise.
        levels: top first, empty octaves left out.
    """

    start: int
    stop: int
    levels: tuple[HeardLevel, ...]

    @property
    def lines(self) -> tuple[Place, ...]:
        """All of them, top level first."""
        return tuple(line for level in self.levels for line in level.lines)


def stacks_of(doublings: Sequence[Doubling]) -> list[HeardStack]:
    """The stacks that doublings make up, in the order in which they begin.

    Where a line joins or leaves, one stack ends and another begins.

    Args:
        doublings: of one score.
    """
    begun: dict[tuple[HeardLevel, ...], int] = {}
    found: list[HeardStack] = []
    for time, sounding in at_a_time([(one.start, one.stop) for one in doublings]):
        now = {levels_of(group) for group in _groups(doublings[at] for at in sounding)}
        ended = [levels for levels in begun if levels not in now]
        found += [HeardStack(begun.pop(levels), time, levels) for levels in ended]
        for levels in now:
            begun.setdefault(levels, time)
    return sorted(found, key=lambda stack: (stack.start, stack.lines))


def at_a_time(stretches: Sequence[tuple[int, int]]) -> Iterator[tuple[int, list[int]]]:
    """Moments at which stretches begin or end, and which of them are there from then on.

    Args:
        stretches: start and stop; one without length lasts a division.
    """
    changes: dict[int, list[tuple[bool, int]]] = defaultdict(list)
    for number, (start, stop) in enumerate(stretches):
        changes[start].append((True, number))
        changes[max(stop, start + 1)].append((False, number))
    there: dict[int, None] = {}
    for time in sorted(changes):
        for begins, number in changes[time]:
            if begins:
                there[number] = None
            else:
                del there[number]
        yield time, [*there]


def levels_text(levels: Iterable[HeardLevel], name_of: Callable[[Place], str]) -> str:
    """A stack as layouts write it: ``Vn I / Vn II + Vla // Vc``.

    Args:
        levels: top first.
        name_of: what a line is called; lines of one name on a level are named once.

    >>> from rewriter.hearing.lines import Place
    >>> one, other, third = (Place(part, 0, 0) for part in range(3))
    >>> levels = [HeardLevel(0, (one, other)), HeardLevel(2, (third,))]
    >>> levels_text(levels, lambda place: ("Vn I", "Vla", "Db")[place.part])
    'Vn I + Vla // Db'
    """
    text, depth = "", 0
    for level in levels:
        if text:
            text += f" {'/' * (level.depth - depth)} "
        text += " + ".join(dict.fromkeys(name_of(line) for line in level.lines))
        depth = level.depth
    return text


def _groups(doublings: Iterable[Doubling]) -> list[_Depths]:
    """Lines that hang together, each so many octaves below the first of its group."""
    beside: dict[Place, list[tuple[Place, int]]] = defaultdict(list)
    for doubling in doublings:
        beside[doubling.upper].append((doubling.lower, doubling.octaves))
        beside[doubling.lower].append((doubling.upper, -doubling.octaves))
    groups: list[_Depths] = []
    placed: set[Place] = set()
    for line in beside:
        if line not in placed:
            group = _reached(line, beside)
            placed.update(group)
            groups.append(group)
    return groups


def _reached(line: Place, beside: Mapping[Place, Iterable[tuple[Place, int]]]) -> _Depths:
    group: _Depths = {line: 0}
    waiting = [line]
    while waiting:
        one = waiting.pop(0)
        for other, octaves in beside[one]:
            if other not in group:
                group[other] = group[one] + octaves
                waiting.append(other)
    return group


def levels_of(group: Mapping[Place, int]) -> tuple[HeardLevel, ...]:
    """Lines sorted by octave.

    Args:
        group: each so many octaves below any one of them.
    """
    top = min(group.values())
    by_depth: dict[int, list[Place]] = defaultdict(list)
    for line, octaves in group.items():
        by_depth[octaves - top].append(line)
    return tuple(HeardLevel(d, tuple(sorted(by_depth[d]))) for d in sorted(by_depth))
