"""What a treatise asks of a doubling, asked of the same doubling heard in a finished score."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.finished_lines import PartLine
from rewriter.checking.treatise_layouts import CONDITION, layouts_saying, shape_of
from rewriter.checking.tune_passages import BASSES, bars_of, notes_between
from rewriter.hearing.stacks import stacks_of
from rewriter.placing.conditions import outside_condition
from rewriter.placing.limits import PlayedLine

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rewriter.checking.finished import Finished
    from rewriter.checking.treatise_layouts import Shape
    from rewriter.checking.tune_passages import TunePassage
    from rewriter.hearing.lines import Place
    from rewriter.hearing.stacks import HeardStack
    from rewriter.placing.facts import OutsideCondition
    from rewriter.rulefiles.layouts import Condition

_A_BAR = 1


def outside_conditions_in(score: Finished, most: float) -> Iterator[OutsideCondition]:
    """The worst line of each doubling that is a layout's and does not keep its condition.

    A stack is a bar or longer, and goes on where only who is no section joins or leaves. One
    section alone, and doublings with basses, are asked where it is told that they have the
    tune: else they are a bass line, of which no treatise speaks.

    Args:
        score: looked at.
        most: share of a line's time that may lie outside.
    """
    asked = layouts_saying(CONDITION, score.ensemble) if score.doublings or score.tune else {}
    for stack in _joined(score, stacks_of(score.doublings)):
        shape = shape_of(score, stack.levels)
        layout = None if _only_of_tunes(score, shape) else asked.get(shape)
        if layout is None or bars_of(score, stack.start, stack.stop) < _A_BAR:
            continue
        condition = layout.condition
        if condition and not (condition.winds and _winds_double(score, stack)):
            yield from _asked(score, stack, stack.lines, condition, most)
    for passage in score.tune_passages:
        only_here = _only_of_tunes(score, passage.shape)
        layout = asked.get(passage.shape) if only_here else None
        if layout and layout.condition:
            lines = [line.place for line in passage.lines]
            yield from _asked(score, passage, lines, layout.condition, most)


def _only_of_tunes(score: Finished, shape: Shape) -> bool:
    """True for one section alone, and where basses are among them: so most bass lines are."""
    sounds = {score.ensemble.section(key).sound for _, key in shape}
    return len(shape) == 1 or BASSES in sounds


def _joined(score: Finished, stacks: Iterable[HeardStack]) -> Iterator[HeardStack]:
    """Stacks of the same lines of sections that follow each other, made one."""
    open_ones: dict[tuple[tuple[int, Place], ...], HeardStack] = {}
    for stack in stacks:
        key = _of_sections(score, stack)
        before = open_ones.get(key)
        if before and not score.heard.bars.longer_than_a_bar(before.stop, stack.start):
            wider = max(before, stack, key=lambda one: len(one.lines))
            stop = max(before.stop, stack.stop)
            open_ones[key] = wider._replace(start=before.start, stop=stop)
            continue
        if before:
            yield before
        open_ones[key] = stack
    yield from open_ones.values()


def _of_sections(score: Finished, stack: HeardStack) -> tuple[tuple[int, Place], ...]:
    own = [
        (level.depth, line)
        for level in stack.levels
        for line in level.lines
        if score.players[line.part].sections
    ]
    top = min((depth for depth, _ in own), default=0)
    return tuple((depth - top, line) for depth, line in own)


def _winds_double(score: Finished, stack: HeardStack) -> bool:
    return any(score.players[line.part].family == "wind" for line in stack.lines)


def _asked(
    score: Finished,
    stretch: HeardStack | TunePassage,
    places: Iterable[Place],
    condition: Condition,
    most: float,
) -> Iterator[OutsideCondition]:
    lines: list[PlayedLine] = []
    for place in places:
        notes = notes_between(score, place, stretch.start, stretch.stop)
        name = score.heard.voices[place.part][place.voice].name
        line = PartLine(place.part, name, [note.tied for note in notes])
        sections = score.players[place.part].sections
        lines += [PlayedLine(line.player(one), line.notes, 0) for one in sections]
    worst = max(outside_condition(condition, lines), key=lambda one: one.share, default=None)
    if worst is not None and worst.share > most:
        yield worst
