"""Stacks of a finished score against those of layouts."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.carried_tune import CarriedNote
    from rewriter.checking.finished import Finished
    from rewriter.rulefiles.layouts import Layout

_Levels = frozenset[tuple[int, str]]
"""Sections with their octaves below the top level that sections play."""

ONE_IN: Final = 8
"""One note in so many may differ, as in doublings."""


def enough(
    notes: Sequence[CarriedNote], differing: Sequence[CarriedNote]
) -> Sequence[CarriedNote]:
    """Notes that are not as they should be; none of them where they are few.

    Args:
        notes: all.
        differing: those of them that are not.
    """
    return differing if len(differing) * ONE_IN > len(notes) else ()


def not_as_laid_out(
    score: Finished, want: Layout, notes: Sequence[CarriedNote]
) -> Sequence[CarriedNote]:
    """The notes that others play than a layout says, or at other octaves, unless they are few.

    What a share of a section plays counts as the section's: players read of it in words. Where
    the layout names no octave any will do.

    Args:
        score: whose tune it is.
        want: the layout.
        notes: of the tune.
    """
    allowed = set(_as_asked(want))
    top = want.stack.top_octave
    differing = [
        note
        for note in notes
        if _levels_of(score, note) not in allowed or (top is not None and _top(note) != top)
    ]
    return enough(notes, differing)


def _top(note: CarriedNote) -> int | None:
    """Octave of the top level that sections play, from the tune; None where none plays."""
    if not note.levels:
        return None
    return note.stretch.top_octave - note.levels[0].depth


def _levels_of(score: Finished, note: CarriedNote) -> _Levels:
    top = note.levels[0].depth if note.levels else 0
    return frozenset(
        (level.depth - top, section.key)
        for level in note.levels
        for line in level.lines
        for section in score.players[line.part].sections
    )


def _as_asked(want: Layout) -> Iterator[_Levels]:
    """The levels of a layout, and those while something is handed over."""
    depths: dict[str, set[int]] = defaultdict(set)
    for level in want.stack.levels:
        for member in level.members:
            depths[member.section].add(level.depth)
    yield _levels(depths)
    for giver, detail in want.line.items():
        if detail.handover is None or giver not in depths:
            continue
        to, given = detail.handover.to, depths[giver]
        for taken in (given, given | depths.get(to, set())):
            yield _levels({**depths, giver: set(), to: taken})
            yield _levels({**depths, to: taken})


def _levels(depths: dict[str, set[int]]) -> _Levels:
    played = [depth for own in depths.values() for depth in own]
    top = min(played, default=0)
    return frozenset((depth - top, key) for key, own in depths.items() for depth in own)
