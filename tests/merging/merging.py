"""Scores merged, and what became of each edit in words that a test can hold by hand."""

from typing import Any

from rewriter.comparing.comparison import compare
from rewriter.merging.merge import merge
from rewriter.merging.results import Entry, Merged
from rewriter.scores.score import read_score
from tests.comparing.comparing import told

LISTS = ("carried", "conflicts", "ambiguous", "dropped")


def merged(base: bytes, edited: bytes, new: bytes, **wishes: Any) -> Merged:
    """The result, its account made sure to add up."""
    result = merge(read_score(base), read_score(edited), read_score(new), **wishes)
    count = sum(len(getattr(result, name)) for name in LISTS)
    assert result.found == count + sum(one.count for one in result.restored)
    return result


def outcomes(result: Merged) -> list[str]:
    """Each edit in a line: ``carried slur 3.1``, bar and beat as printed."""
    lines = [f"{name} {_line(one)}" for name in LISTS for one in getattr(result, name)]
    return lines + [f"restored {one.kind} {one.count}" for one in result.restored]


def _line(one: Entry) -> str:
    where = ".".join(filter(None, (one.place.bar, one.place.beat)))
    stands = f" {one.stands} stands" if one.stands else ""
    several = f" in {'/'.join(one.candidates)}" if one.candidates else ""
    return f"{one.kind} {where}".strip() + stands + several


def differing(a: bytes, b: bytes, **how: Any) -> list[str]:
    """What two scores do not have alike, but for kinds of things that are gone everywhere."""
    comparison = compare(read_score(a), read_score(b), **how)
    return told(comparison._replace(gone=[]))
