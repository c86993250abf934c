"""What of a score is to be printed again, compared with another: bars of its parts, pages."""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.standing import DEFAULTS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from rewriter.comparing.comparison import Comparison
    from rewriter.comparing.contents import Contents
    from rewriter.comparing.difference import Difference, PartPair
    from rewriter.scores.score import Score

_STAND: Final = DEFAULTS.keys() - {"transposition"}
"""Kinds of things that a page shows anew, so that they change what follows them too."""

_PRINT: Final = re.compile(rb"<print\b[^>]*>")
_NUMBER: Final = re.compile(rb'page-number="([^"]*)"')


class Page(NamedTuple):
    """A page as the breaks in a file make it.

    Attributes:
        number: as the file numbers it, else counted.
        first: index of its first bar.
        last: index of its last.
    """

    number: str
    first: int
    last: int


def changed_bars(found: Comparison, pair: PartPair) -> set[int]:
    """Indexes of B's bars in which a part is not as it was; those A alone has go to the next.

    Args:
        found: what two scores do not have alike.
        pair: a part.
    """
    mine = [one for one in found.all if one.part in {pair, None} and one.at.bar >= 0]
    bars = {bar for one in mine for bar in _bars_of(one, found.bars)}
    if pair.a is not None and pair.b is not None and any(one.kind in _STAND for one in mine):
        bars |= _read_otherwise(found.in_a[pair.a], found.in_b[pair.b], found.bars)
    return bars


def _bars_of(one: Difference, bars: Mapping[int, int]) -> Iterable[int]:
    """Bars of B in which a difference is seen: where it begins and where it ends."""
    if one.b is not None:
        yield from (point.bar for point in (one.b.at, one.b.until) if point)
    if one.a is not None:
        known = sorted(bars)
        for bar in (point.bar for point in (one.a.at, one.a.until) if point):
            at = bisect_right(known, bar) - 1
            yield bars[known[at]] + (known[at] != bar) if at >= 0 else 0


def _read_otherwise(a: Contents, b: Contents, bars: Mapping[int, int]) -> set[int]:
    """Bars of B that begin in another clef or key than A's."""
    found: set[int] = set()
    standing: tuple[dict[tuple[str, str], str], dict[tuple[str, str], str]] = {}, {}
    for one, two in bars.items():
        if standing[0] != standing[1]:
            found.add(two)
        for part, bar, state in ((a, one, standing[0]), (b, two, standing[1])):
            things = part.bars[bar].things if bar < len(part.bars) else []
            for thing in sorted(things, key=lambda thing: thing.at):
                if thing.kind in _STAND:
                    state[thing.kind, thing.staff] = thing.what
                    if thing.what == DEFAULTS[thing.kind]:
                        del state[thing.kind, thing.staff]
    return found


def pages_of(score: Score) -> list[Page]:
    """The pages of a score; empty where its file does not say where one ends."""
    breaks: dict[int, str] = {}
    for part in score.parts:
        for bar in part.saying(b"<print"):
            for said in _PRINT.findall(part.bars[bar]):
                if bar and b'new-page="yes"' in said:
                    number = _NUMBER.search(said)
                    breaks.setdefault(bar, number[1].decode() if number else "")
    if not breaks:
        return []
    starts = [0, *sorted(breaks)]
    ends = [*(start - 1 for start in starts[1:]), max(len(p.bars) for p in score.parts) - 1]
    pages: list[Page] = []
    for first, last in zip(starts, ends, strict=True):
        before = pages[-1].number if pages else "0"
        counted = str(int(before) + 1) if before.isdecimal() else str(len(pages) + 1)
        pages.append(Page(breaks.get(first, "") or counted, first, last))
    return pages


def changed_pages(
    found: Comparison, a: Sequence[Page], b: Sequence[Page], changed: set[int]
) -> list[Page]:
    """Pages of B on which something is not as it was.

    Args:
        found: what two scores do not have alike.
        a: pages of A; empty where the bars they hold are not to count.
        b: pages of B.
        changed: indexes of B's bars, of all parts.
    """
    headed = any(one.at.bar < 0 for one in found.all)
    held = [[found.bars.get(bar) for bar in range(page.first, page.last + 1)] for page in a]
    return [
        page
        for at, page in enumerate(b)
        if (headed and at == 0)
        or any(page.first <= bar <= page.last for bar in changed)
        or (held and held[at : at + 1] != [list(range(page.first, page.last + 1))])
    ]
