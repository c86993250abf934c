"""A part of one score against a part of another, or one bar against one bar."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.comparing.frame import Frame
from rewriter.comparing.matching import Placed, differences, placed
from rewriter.comparing.note_pairs import note_differences, paired_notes
from rewriter.comparing.things import STANDS_ONCE, Bar

if TYPE_CHECKING:
    from collections.abc import Container, Iterator

    from rewriter.comparing.contents import Contents
    from rewriter.comparing.difference import Difference, PartPair

NOTHING: Final = Bar([], [], 0, 1)
"""A bar that a part has not."""


def part_differences(
    a: Contents,
    b: Contents,
    frame: Frame,
    part: PartPair | None = None,
    *,
    without: Container[str] = STANDS_ONCE,
    within: Container[int] | None = None,
) -> Iterator[Difference]:
    """What differs between two parts, in the bars that answer to each other.

    Args:
        a: counted in the same divisions as `b`.
        b: likewise.
        frame: their bars on one line of time.
        part: which they are, for the differences.
        without: kinds of things that are compared elsewhere.
        within: bars of A that are looked into; all where not given.
    """
    unknown = set() if a.beamed and b.beamed else {"beam"}
    heaps: tuple[list[Placed], list[Placed]] = [], []
    for one, two in frame.bars.items():
        if within is not None and one not in within:
            continue
        bar_a = a.bars[one] if one < len(a.bars) else NOTHING
        bar_b = b.bars[two] if two < len(b.bars) else NOTHING
        found = paired_notes(bar_a, bar_b)
        yield from note_differences(found, part)
        beat = min(bar_a.beat, bar_b.beat)
        for in_b, bar in enumerate((bar_a, bar_b)):
            heaps[in_b].extend(
                placed(thing, frame, in_b=bool(in_b), voices=found.voices, beat=beat)
                for thing in bar.things
                if thing.kind not in without and thing.kind not in unknown
            )
    yield from differences(*heaps, part)


def bar_differences(a: Contents, bar_a: int, b: Contents, bar_b: int) -> list[Difference]:
    """What differs between one bar and another, wherever they stand.

    What begins in them and goes on is alike if it goes on equally far.

    Args:
        a: the part that has the one.
        bar_a: its index.
        b: the part that has the other, in the same divisions.
        bar_b: its index.
    """
    frame = Frame({bar_a: bar_b}, [bar.length for bar in a.bars])
    return list(part_differences(a, b, frame, without=()))
