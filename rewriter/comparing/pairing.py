"""Which part of one score answers to which of another."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import TYPE_CHECKING

from rewriter.comparing.difference import PartPair
from rewriter.comparing.things import plain_text

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from rewriter.scores.score import Part


def paired_parts(a: Sequence[Part], b: Sequence[Part]) -> list[PartPair]:
    """Pairs by name, then by short name, then by the place between parts that are paired.

    Parts of one name are paired in order. Parts of other names between the same two pairs are
    taken for each other if there are as many in A as in B; else nobody knows which is which.

    Args:
        a: in score order.
        b: likewise.

    Returns:
        In the order of A, then parts that only B has.
    """
    found: dict[int, int] = {}
    names: tuple[Callable[[Part], str], ...] = (
        lambda part: plain_text(part.full_name).casefold(),
        lambda part: plain_text(part.short_name).casefold(),
    )
    for name in names:
        left_a = _by_name(a, name, found)
        left_b = _by_name(b, name, found.values())
        for said, places in left_a.items():
            found |= zip(places, left_b.get(said, ()), strict=False)
    found |= _between(found, len(a), len(b))
    pairs = [PartPair(place, found.get(place)) for place in range(len(a))]
    known = set(found.values())
    return pairs + [PartPair(None, place) for place in range(len(b)) if place not in known]


def _by_name(
    parts: Sequence[Part], name: Callable[[Part], str], known: Iterable[int]
) -> dict[str, list[int]]:
    places: dict[str, list[int]] = defaultdict(list)
    known = set(known)
    for place, part in enumerate(parts):
        if place not in known and name(part):
            places[name(part)].append(place)
    return places


def _between(found: dict[int, int], of_a: int, of_b: int) -> dict[int, int]:
    """Pairs by place, between pairs that stand in the same order in both scores."""
    more: dict[int, int] = {}
    fixed = [(-1, -1), *sorted(found.items()), (of_a, of_b)]
    for (a, b), (next_a, next_b) in pairwise(fixed):
        ones = [place for place in range(a + 1, next_a) if place not in found]
        twos = [place for place in range(b + 1, next_b) if place not in found.values()]
        if len(ones) == len(twos):
            more |= zip(ones, twos, strict=True)
    return more
