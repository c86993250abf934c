"""Which part of one score answers to which of another."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import TYPE_CHECKING

from rewriter.comparing.difference import PartPair
from rewriter.comparing.things import plain_text

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.scores.score import Score


def paired_parts(a: Score, b: Score, *, by_place: bool = True) -> list[PartPair]:
    """Pairs by name, by section, by short name, then by the place between parts paired so far.

    Parts of one name, or of one section and share, are paired in order. Others between the
    same two pairs are taken for each other if there are as many in A as in B; else nobody
    knows which is which.

    Args:
        a: a score.
        b: another.
        by_place: parts of other names may answer to each other.

    Returns:
        In the order of A, then parts that only B has.
    """
    found: dict[int, int] = {}
    for names in (_full_names, _section_names, _short_names):
        if len(found) == len(a.parts) or len(found) == len(b.parts):
            break
        left_a = _by_name(names(a), found)
        left_b = _by_name(names(b), found.values())
        for said, places in left_a.items():
            found |= zip(places, left_b.get(said, ()), strict=False)
    if by_place:
        found |= _between(found, len(a.parts), len(b.parts))
    pairs = [PartPair(place, found.get(place)) for place in range(len(a.parts))]
    known = set(found.values())
    return pairs + [
        PartPair(None, place) for place in range(len(b.parts)) if place not in known
    ]


def _full_names(score: Score) -> list[str]:
    return [plain_text(part.full_name).casefold() for part in score.parts]


def _short_names(score: Score) -> list[str]:
    return [plain_text(part.short_name).casefold() for part in score.parts]


def _section_names(score: Score) -> list[str]:
    """The section and share of each part, as far as more than its place tells them."""
    from rewriter.hearing.sections import sections_of
    from rewriter.rulefiles.loading import load_ensemble

    return [
        " ".join([*(section.key for section in one.sections), one.share])
        if one.sections and one.known_by != "order"
        else ""
        for one in sections_of(score, load_ensemble())
    ]


def _by_name(names: Sequence[str], known: Iterable[int]) -> dict[str, list[int]]:
    places: dict[str, list[int]] = defaultdict(list)
    known = set(known)
    for place, name in enumerate(names):
        if place not in known and name:
            places[name].append(place)
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
