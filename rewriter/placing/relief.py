"""Notes out of range brought back by octaves, or silenced, with the slur they belong to."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Literal, NamedTuple

from rewriter.placing.limits import beyond

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.limits import PlayedLine
    from rewriter.rulefiles.ensembles import Section
    from rewriter.sketch.model import Sounding


class Relief(NamedTuple):
    """What is done about notes out of range.

    Attributes:
        first: index into the notes given.
        last: index into the notes given, inclusive.
        shift: octaves added to the line's own; None where it rests.
    """

    first: int
    last: int
    shift: int | None


def relieve(line: PlayedLine, policy: Literal["octave", "rest"]) -> list[Relief]:
    """Find what to move by octaves, or to silence, so that a line stays in range.

    A slurred group moves, or rests, as a whole. Where it fits in no octave, and outside
    groups, only the run of notes out of range does, and where the run is too wide, each note
    by itself. Grace notes go with the note they lead to.

    Args:
        line: section, the tune in order, and how far the line is from it.
        policy: ``octave`` moves to the nearest octave in range, ``rest`` silences.

    Returns:
        In order, never overlapping; empty when every note is in range. With ``octave``, notes
        that are in range at no octave are left for the check to report.
    """
    section, notes = line.section, line.notes
    pitches = line.pitches
    if not pitches or section.low <= min(pitches) <= max(pitches) <= section.high:
        return []
    reliefs: list[Relief] = []
    for first, last in _units(notes):
        if section.low <= min(pitches[first : last + 1]) and (
            max(pitches[first : last + 1]) <= section.high
        ):
            continue
        found: list[Relief] | None = None
        if notes[first].group >= 0:
            shift = None if policy == "rest" else _fit(section, pitches[first : last + 1])
            if policy == "rest" or shift is not None:
                found = [Relief(first, last, shift)]
        if found is None:
            found = _by_runs(section, pitches, first, last, policy)
        for relief in found:
            floor = reliefs[-1].last + 1 if reliefs else 0
            reliefs.append(_with_graces(section, notes, pitches, relief, floor))
    return reliefs


def _units(notes: Sequence[Sounding]) -> list[tuple[int, int]]:
    """First and last index of each slurred group, and of each run of notes in none."""
    starts = [
        at for at, note in enumerate(notes) if not at or note.group != notes[at - 1].group
    ]
    return list(
        zip(starts, [start - 1 for start in starts[1:]] + [len(notes) - 1], strict=True)
    )


def _fit(section: Section, pitches: Sequence[float]) -> int | None:
    """Octaves, as few as can be, that bring all pitches into range; None for none."""
    fewest = -int((min(pitches) - section.low) // 12)
    most = int((section.high - max(pitches)) // 12)
    return None if fewest > most else min(max(fewest, 0), most)


def _by_runs(
    section: Section,
    pitches: Sequence[float],
    first: int,
    last: int,
    policy: Literal["octave", "rest"],
) -> list[Relief]:
    """Relief for each run of notes past the same end of the range, from first to last."""

    def side(at: int) -> int:
        return (pitches[at] > section.high) - (pitches[at] < section.low)

    found: list[Relief] = []
    for past, run in groupby(range(first, last + 1), side):
        if not past:
            continue
        places = list(run)
        start, end = places[0], places[-1]
        shift = None if policy == "rest" else _fit(section, pitches[start : end + 1])
        if policy == "rest" or shift is not None:
            found.append(Relief(start, end, shift))
            continue
        alone = [(at, _fit(section, pitches[at : at + 1])) for at in places]
        found += [Relief(at, at, fit) for at, fit in alone if fit is not None]
    return found


def _with_graces(
    section: Section,
    notes: Sequence[Sounding],
    pitches: Sequence[float],
    relief: Relief,
    floor: int,
) -> Relief:
    """The relief with the grace notes before it, none of them from before `floor`."""
    first, main = relief.first, notes[relief.first]
    while first > floor:
        grace = notes[first - 1]
        if not grace.leads_to(main):
            break
        if relief.shift is not None and beyond(section, pitches[first - 1] + 12 * relief.shift):
            break
        first -= 1
    return relief._replace(first=first)


def relieved(notes: Sequence[Sounding], reliefs: Sequence[Relief]) -> list[Sounding]:
    """The notes that are left, moved ones at their new pitch (still in the tune's octave).

    Args:
        notes: as given to :func:`relieve`.
        reliefs: as it returned them.
    """
    left: list[Sounding] = []
    done = 0
    for first, last, shift in reliefs:
        left += notes[done:first]
        if shift is not None:
            left += [
                note._replace(midi=note.midi + 12 * shift) for note in notes[first : last + 1]
            ]
        done = last + 1
    left += notes[done:]
    return left
