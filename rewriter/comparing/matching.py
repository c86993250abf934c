"""Things of two scores, each with its partner: those alike, then those altered."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from typing import TYPE_CHECKING, NamedTuple

from rewriter.comparing.difference import Difference
from rewriter.comparing.things import AT_THE_EDGE, NEARLY, Thing

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Iterator, Sequence

    from rewriter.comparing.difference import PartPair
    from rewriter.comparing.frame import Frame


class Placed(NamedTuple):
    """A thing on the line of time that two scores share.

    Attributes:
        thing: as its own score has it.
        time: divisions from the start; for what belongs to a bar's edge, of the bar.
        grace: as points have it.
        until: divisions from the start; None for what has no end.
        owner: voice as A numbers it, or staff of what belongs to no voice.
        near: divisions; what is no further away stands at the same place.
    """

    thing: Thing
    time: int
    grace: int
    until: int | None
    owner: str
    near: int

    @property
    def key(self) -> Hashable:
        """The same for two things that are alike."""
        return self.thing.kind, self.thing.what, self[1:5]


def placed(
    thing: Thing, frame: Frame, *, in_b: bool, voices: dict[str, str], beat: int
) -> Placed:
    """A thing in its place.

    Args:
        thing: of A or B.
        frame: of both.
        in_b: it is of B.
        voices: of its bar in B, to those of A's; asked for B only.
        beat: divisions of a beat.
    """
    time = frame.time_in_b if in_b else frame.time_in_a
    at, until = thing.at, thing.until
    if thing.kind in AT_THE_EDGE:
        at = at._replace(onset=0)
        until = until and until._replace(onset=0)
    voice = voices.get(thing.voice, f"new {thing.voice}") if in_b else thing.voice
    owner = f"voice {voice}" if thing.voice else f"staff {thing.staff}"
    near = beat // 2 if thing.kind in NEARLY else 0
    return Placed(thing, time(at), at.grace, until and time(until), owner, near)


def differences(
    a: Iterable[Placed], b: Iterable[Placed], part: PartPair | None
) -> Iterator[Difference]:
    """What differs between two heaps of things.

    Args:
        a: of A.
        b: of B.
        part: they are in.
    """
    left_a, left_b = _unlike(a, b)
    kinds = sorted({one.thing.kind for one in (*left_a, *left_b)})
    for kind in kinds:
        ones = [one for one in left_a if one.thing.kind == kind]
        twos = [two for two in left_b if two.thing.kind == kind]
        pairs = _pairs(ones, twos)
        for one, two in pairs:
            if not _same(one, two):
                yield Difference(kind, part, one.thing, two.thing)
        taken = {id(one) for pair in pairs for one in pair}
        for one in ones:
            if id(one) not in taken:
                yield Difference(kind, part, one.thing, None)
        for two in twos:
            if id(two) not in taken:
                yield Difference(kind, part, None, two.thing)


def _unlike(a: Iterable[Placed], b: Iterable[Placed]) -> tuple[list[Placed], list[Placed]]:
    """What is left when all that is alike to the division has been taken away."""
    waiting: dict[Hashable, list[Placed]] = defaultdict(list)
    for two in b:
        waiting[two.key].append(two)
    left = []
    for one in a:
        same = waiting.get(one.key)
        if same:
            same.pop()
        else:
            left.append(one)
    return left, [two for rest in waiting.values() for two in rest]


def _pairs(a: Sequence[Placed], b: Sequence[Placed]) -> list[tuple[Placed, Placed]]:
    """Partners, those most alike first: each begins, or else ends, where the other does."""
    candidates = sorted((_unlikeness(a[one], b[two]), one, two) for one, two in _close(a, b))
    taken_a: set[int] = set()
    taken_b: set[int] = set()
    found = []
    for _, one, two in candidates:
        if one not in taken_a and two not in taken_b:
            taken_a.add(one)
            taken_b.add(two)
            found.append((a[one], b[two]))
    return found


def _close(a: Sequence[Placed], b: Sequence[Placed]) -> set[tuple[int, int]]:
    begins = sorted((two.time, place) for place, two in enumerate(b))
    ends = sorted((two.until, place) for place, two in enumerate(b) if two.until is not None)
    found = set()
    for place, one in enumerate(a):
        for two in _within(begins, one.time, one.near):
            if b[two].grace == one.grace and abs(b[two].time - one.time) <= b[two].near:
                found.add((place, two))
        if one.until is not None:
            for two in _within(ends, one.until, one.near):
                if _end_together(one, b[two]) and _alike_else(one, b[two]):
                    found.add((place, two))
    return found


def _within(times: Sequence[tuple[int, int]], time: int, near: int) -> Iterator[int]:
    first = bisect_left(times, (time - near, -1))
    last = bisect_right(times, (time + near, len(times)))
    for _, place in times[first:last]:
        yield place


def _unlikeness(a: Placed, b: Placed) -> tuple[bool, bool, bool, bool, int, int, list[str]]:
    """In how much two things of a kind are unlike; the same from either side."""
    return (
        abs(a.time - b.time) > min(a.near, b.near),
        a.thing.what != b.thing.what,
        not _end_together(a, b),
        a.owner != b.owner,
        abs(a.time - b.time),
        a.time + b.time,
        sorted((a.thing.what, b.thing.what)),
    )


def _alike_else(a: Placed, b: Placed) -> bool:
    return a.thing.what == b.thing.what and a.owner == b.owner


def _end_together(a: Placed, b: Placed) -> bool:
    if a.until is None or b.until is None:
        return a.until is b.until
    return abs(a.until - b.until) <= min(a.near, b.near)


def _same(a: Placed, b: Placed) -> bool:
    return not any(_unlikeness(a, b)[:4])
