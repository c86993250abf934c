"""What single sections of a finished score play in a passage."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.scoring_stacks import ONE_IN
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.checking.scoring_facts import Passage
    from rewriter.hearing.lines import HeardNote
    from rewriter.rulefiles.houses import Handing


def parts_of(score: Finished, section: str) -> list[int]:
    """The parts a section plays, by its key."""
    return [
        part
        for part in score.of_sections
        if any(one.key == section for one in score.players[part].sections)
    ]


def plays(score: Finished, section: str, passage: Passage) -> bool:
    """True when a section begins a note in a passage."""
    return any(
        passage.start <= run.time < passage.stop and run.length
        for part in parts_of(score, section)
        for run in score.joined(part)
    )


def doubles(score: Finished, section: str, leading: str, passage: Passage) -> bool:
    """True when a section plays what another plays, at any octave, one note in eight aside.

    Where the other rests there is nothing to double.
    """
    wanted = _pitch_classes(score, leading, passage)
    own = _pitch_classes(score, section, passage)
    missing = sum(not own.get(time, set()) >= sounding for time, sounding in wanted.items())
    return missing * ONE_IN <= len(wanted)


def _pitch_classes(score: Finished, section: str, passage: Passage) -> dict[int, set[float]]:
    """What a section begins at each moment of a passage."""
    found: dict[int, set[float]] = {}
    for part in parts_of(score, section):
        for run in score.joined(part):
            sounding = run.notes[0].sounding
            if sounding is not None and run.length and _is_in(passage, run.time):
                found.setdefault(run.time, set()).add(sounding % 12)
    return found


def _is_in(passage: Passage, time: int) -> bool:
    return passage.start <= time < passage.stop


def past_limit(score: Finished, handing: Handing, passage: Passage) -> list[HeardNote]:
    """The notes of the tune a section plays past the limit at which it is to hand over.

    Args:
        score: whose tune is known.
        handing: which section, and above or below which pitch.
        passage: where.
    """
    above, below = handing.handover.above, handing.handover.below
    there = {
        line: note.time
        for note in passage.notes
        for level in note.levels
        for line in level.lines
        if line.part in parts_of(score, handing.section)
    }
    times = {note.time for note in passage.notes}
    return [
        note
        for line in score.heard.lines
        if line.place in there
        for note in line.notes
        if note.time in times
        and _is_in(passage, note.time)
        and (
            (above is not None and note.sounding > above)
            or (below is not None and note.sounding < below)
        )
    ]


def not_handed_over(
    score: Finished, handing: Handing, passage: Passage
) -> Iterator[tuple[str, str]]:
    """What is said of a section that keeps what it is to hand over."""
    found = past_limit(score, handing, passage)
    if not found:
        return
    above, below = handing.handover.above, handing.handover.below
    highest = max(found, key=lambda note: note.sounding)
    lowest = min(found, key=lambda note: note.sounding)
    if above is not None and highest.sounding > above:
        side, limit, furthest = "above", above, highest
    else:
        side, limit, furthest = "below", below or 0, lowest
    reach = "up" if side == "above" else "down"
    yield (
        f"{handing.section} {reach} to {furthest.name}",
        f"what lies {side} {name_of_midi(limit)} handed over to {handing.handover.to}",
    )
