"""Notes of a hand looked for again in the merged score: is each there as it should be?"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from rewriter.merging.steps import Sung

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Iterator

    from rewriter.comparing.contents import Contents
    from rewriter.comparing.things import Note
    from rewriter.merging.applying import Applied
    from rewriter.merging.decisions import Decision
    from rewriter.merging.three import Three
    from rewriter.scores.score import Score


def not_as_made(
    three: Three, decisions: Iterable[Decision], done: Applied, merged: Score
) -> Iterator[Decision]:
    """Decisions that were to carry notes which are not in the merged score as they should be.

    A tie may have lost its other end, or a part its transposition.

    Args:
        three: the scores.
        decisions: about every edit.
        done: what came of them.
        merged: the score that did.
    """
    if three.as_written:  # the hand's notes say another pitch than they mean
        return
    at = {part.id: place for place, part in enumerate(merged.parts)}
    new = three.scores.new.parts
    read: dict[int, Contents] = {}
    for one in decisions:
        if one.outcome != "carried":
            continue
        for step in one.steps:
            place = at.get(new[step.part].id) if isinstance(step, Sung) else None
            if not isinstance(step, Sung) or place is None or step.bar not in done.shape.now:
                continue
            if place not in read:
                read[place] = three.contents_of(merged.parts[place])
            there = read[place].bars[done.shape.now[step.bar]].notes
            if _wanted(three, step) - _heard(there, 0):
                yield one
                break


def _wanted(three: Three, step: Sung) -> Counter[Hashable]:
    made = three.edited[step.made_part].bars[step.made_bar].notes
    sung = [note for note in made if note.thing.voice in step.made_voices]
    return _heard(sung, step.by.semitones)


def _heard(notes: Iterable[Note], up: float) -> Counter[Hashable]:
    """Onset, length and height of notes, and whether they are tied on."""
    return Counter(
        (note.thing.at[1:], note.length, note.pitch.midi + up, "tie" in note.says)
        for note in notes
        if note.pitch
    )
