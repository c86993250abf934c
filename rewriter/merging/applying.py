"""Decisions done to the new score's bytes: notes first, then what hangs on them and beside them.

Every bar that no step is about keeps its bytes.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from rewriter.editing.bar_writing import voices_replaced
from rewriter.editing.edits import InBar, edited
from rewriter.merging.carried_notes import voice_of
from rewriter.merging.marking import Marking
from rewriter.merging.reshaping import reshaped
from rewriter.merging.steps import Put, Sung, Taken
from rewriter.scores.score import read_score

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.editing.edits import Edit
    from rewriter.editing.music import Note
    from rewriter.editing.music import Sign as MusicSign
    from rewriter.merging.steps import Step
    from rewriter.merging.three import Three
    from rewriter.scores.score import Score


def applied(three: Three, steps: Sequence[Step]) -> tuple[bytes, list[Put]]:
    """The new score with all steps done.

    Args:
        three: the scores.
        steps: in any order.

    Returns:
        The file, zipped where it came zipped, and what had no place after all.
    """
    score = three.scores.new
    sung = [step for step in steps if isinstance(step, Sung)]
    if sung:
        score = _read_again(score, _sung(three, sung))
    marking = Marking(three, score)
    for step in steps:
        if isinstance(step, Taken):
            marking.take(step)
    homeless = [step for step in steps if isinstance(step, Put) and not marking.put(step)]
    marking.tie_ends({(step.part, step.bar) for step in sung})
    edits = marking.edits()
    if edits:
        score = _read_again(score, edits)
    return reshaped(three, score, steps), homeless


def _read_again(score: Score, edits: Iterable[Edit]) -> Score:
    return read_score(edited(score, edits), unnamed=score.name)


def _sung(three: Three, steps: Iterable[Sung]) -> list[Edit]:
    bars: dict[InBar, dict[str, Sequence[Note | MusicSign]]] = defaultdict(dict)
    for step in steps:
        voice, notes = voice_of(three, step)
        bars[InBar(step.part, step.bar)][voice] = notes
    return [
        edit
        for where, voices in sorted(bars.items())
        for edit in voices_replaced(three.scores.new, where, voices)
    ]
