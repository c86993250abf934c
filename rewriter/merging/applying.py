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
from rewriter.merging.steps import BarPut, BarTaken, PartPut, PartTaken, Put, Sung, Taken
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
        data: the file, zipped where the new score came zipped.
        homeless: steps that had no place after all.
        shape: where the new score's bars are in it.
    """

    data: bytes
    homeless: list[Put]
    shape: Shape


def applied(three: Three, steps: Sequence[Step]) -> Applied:
    """The new score with all steps done.

    Args:
        three: the scores.
        steps: in any order.
    """
    score = three.scores.new
    sung = [step for step in steps if isinstance(step, Sung)]
    if sung:
        score = _read_again(score, _sung(three, sung))
    homeless, shape = [], Shape.as_it_is(score)
    marks = [step for step in steps if isinstance(step, (Put, Taken))]
    if any(isinstance(step, (BarPut, BarTaken)) for step in steps):
        # What stands has to stand before bars are put in: they say what is different in them.
        marking = Marking(three, score, shape)
        homeless = marking.mark([step for step in marks if step.thing.kind in STANDING])
        marks = [step for step in marks if step.thing.kind not in STANDING]
        put = {step.made_bar for step in steps if isinstance(step, BarPut)}
        source = without_crossing(three, three.scores.edited, three.edited, put)
        score, shape = with_bars(three, _read_again(score, marking.edits()), source, steps)
    marking = Marking(three, score, shape)
    homeless += marking.mark(marks)
    touched = {(step.part, shape.now[step.bar]) for step in sung}
    marking.tie_ends(touched | marking.beside_new_bars())
    edits = marking.edits()
    if any(isinstance(step, (PartPut, PartTaken)) for step in steps):
        score, edits = _read_again(score, edits), []
    edits += heading_edits(three, score, shape, steps)
    return Applied(edited(score, edits), homeless, shape)


def _read_again(score: Score, edits: Sequence[Edit]) -> Score:
    return read_score(edited(score, edits), unnamed=score.name) if edits else score


def _sung(three: Three, steps: Iterable[Sung]) -> list[Edit]:
    bars: dict[InBar, dict[str, Sequence[Note | MusicSign]]] = defaultdict(dict)
    # Voices that have a name come first, so that no other gets it.
    for step in sorted(steps, key=lambda step: (not step.voice, step.made_voices)):
        sung = bars[InBar(step.part, step.bar)]
        voice, notes = voice_of(three, step, sung)
        sung[voice] = notes
    return [
        edit
        for where, voices in sorted(bars.items())
        for edit in voices_replaced(three.scores.new, where, voices)
    ]
