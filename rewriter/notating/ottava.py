"""Where a line is read an octave down under 8va, so that signs do not flicker."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.notating.clefs import leger_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.notating.clefs import Group
    from rewriter.rulefiles.ensembles import ClefUse, Section

LEGER_LINES_BELOW_UNDER_OTTAVA = 1
"""Under 8va a note reads well with at most so many leger lines below (common practice, no
source)."""

LEGER_LINES_WORTH_OTTAVA = 3
"""Notes beside one that needs 8va go under the sign from so many leger lines on (common
practice, no source)."""


def plan_ottava(
    section: Section, groups: Sequence[Group], octave: int
) -> list[tuple[int, int]]:
    """Find the notes to read under 8va.

    A group that needs more than the section's figure of leger lines goes under 8va whole,
    unless it reaches so low that reading it an octave down would be no better: then only its
    high notes do. Neighbouring signs are joined over fewer bars than a clef has to stay,
    where all between them reads well an octave down.

    Args:
        section: whose figures hold.
        groups: from :func:`gather`.
        octave: whole octaves of the line from the tune.

    Returns:
        Positions in the tune's list of notes, first and last of each sign, inclusive.
    """
    most = section.ottava_beyond_leger_lines
    if most is None or not groups:
        return []
    clef = section.clefs[-1]
    written = 12 * (octave + section.written_octave)
    if leger_lines(max(group.highest for group in groups) + written, clef) <= most:
        return []
    signs: list[tuple[int, int]] = []
    previous = -1
    for at, group in enumerate(groups):
        if leger_lines(group.highest + written, clef) <= most:
            continue
        for first, last in _high_notes(group, written, clef, most):
            touches = previous >= 0 and first == group.first
            touches = touches and signs[-1][1] == groups[previous].last
            if touches and _bridged(section, groups, previous, at, written):
                signs[-1] = (signs[-1][0], last)
            else:
                signs.append((first, last))
        previous = at
    return signs


def reads_down(lowest: float, clef: ClefUse) -> bool:
    """True when a written pitch reads well an octave down."""
    return leger_lines(lowest - 12, clef) >= -LEGER_LINES_BELOW_UNDER_OTTAVA


def _high_notes(
    group: Group, written: float, clef: ClefUse, most: int
) -> list[tuple[int, int]]:
    """What of a group goes under 8va: all of it, or each high run with a note past `most`."""
    if reads_down(group.lowest + written, clef):
        return [(group.first, group.last)]
    runs: list[tuple[int, int]] = []
    start: int | None = None
    needed = False
    for at, (midi, _) in enumerate([*group.pitches, (float("-1e3"), 0)]):
        lines = leger_lines(midi + written, clef)
        if lines >= LEGER_LINES_WORTH_OTTAVA:
            start = at if start is None else start
            needed = needed or lines > most
        elif start is not None:
            if needed:
                runs.append((group.first + start, group.first + at - 1))
            start, needed = None, False
    return runs


def _bridged(
    section: Section, groups: Sequence[Group], before: int, at: int, written: float
) -> bool:
    """True when an 8va goes on from one group to another, by their indices."""
    bars_between = groups[at].bar - groups[before].last_bar - 1
    return bars_between < section.clef_stays_bars and all(
        reads_down(group.lowest + written, section.clefs[-1])
        for group in groups[before + 1 : at]
    )
