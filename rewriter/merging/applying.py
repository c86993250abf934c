"""Decisions done to the new score's bytes: notes first, then bars, then marks and signs.

Every bar that no step is about keeps its bytes.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, NamedTuple

from rewriter.editing.bar_writing import voices_replaced
from rewriter.editing.edits import InBar, edited
from rewriter.merging.carried_notes import voice_of
from rewriter.merging.carried_signs import STANDING
from rewriter.merging.crossing import without_crossing
from rewriter.merging.heading import heading_edits
from rewriter.merging.marking import Marking
from rewriter.merging.reshaping import Shape, with_bars
from rewriter.merging.steps import BarPut, Put, Sung, Taken
from rewriter.scores.score import read_score

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.editing.edits import Edit
    from rewriter.editing.music import Note
    from rewriter.editing.music import Sign as MusicSign
    from rewriter.merging.steps import Step
    from rewriter.merging.three import Three
    from rewriter.scores.score import Score


class Applied(NamedTuple):
    """What was done.

    Attributes:
        score: with all in it.
        homeless: steps that had no place after all.
        shape: where the new score's bars are in it.
    """

    score: Score
    homeless: list[Put]
    shape: Shape


def applied(three: Three, steps: Sequence[Step]) -> Applied:
    """The new score with all steps done.

    Args:
        three: the scores.
        steps: in any order.

    """
    score, source = three.scores.new, three.scores.edited
    sung = [step for step in steps if isinstance(step, Sung)]
    if sung:
        score = _read_again(score, _sung(three, sung))
    put = {step.made_bar for step in steps if isinstance(step, BarPut)}
    source = without_crossing(three, source, put)
    # What stands has to stand before bars are put in: they say what is different in them.
    standing = [step for step in steps if _stands(step)]
    marking = Marking(three, score, Shape.as_it_is(score))
    homeless = marking.mark(standing)
    score = _read_again(score, marking.edits())
    score, shape = with_bars(three, score, source, steps)
    marking = Marking(three, score, shape)
    homeless += marking.mark([step for step in steps if not _stands(step)])
    touched = {(step.part, shape.now[step.bar]) for step in sung}
    marking.tie_ends(touched | marking.beside_new_bars())
    score = _read_again(score, marking.edits())
    score = _read_again(score, heading_edits(three, score, shape, steps))
    return Applied(score, homeless, shape)


def _stands(step: Step) -> bool:
    return isinstance(step, (Put, Taken)) and step.thing.kind in STANDING


def _read_again(score: Score, edits: Sequence[Edit]) -> Score:
    return read_score(edited(score, edits), unnamed=score.name) if edits else score


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
