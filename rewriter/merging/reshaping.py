"""Whole bars of the edited score put into the new one, and bars taken out of it."""

from __future__ import annotations

import re
from itertools import groupby
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.editing.bar_writing import written_again
from rewriter.editing.bars import bars_put_in, bars_taken_out
from rewriter.editing.edit_kinds import Inserted, Replaced
from rewriter.editing.edits import InBar, edited
from rewriter.editing.elements import with_attribute, without
from rewriter.editing.fitting import fitted
from rewriter.editing.setting import setting_before
from rewriter.merging.moved_bars import moved_bar
from rewriter.merging.resting import resting_bar
from rewriter.merging.steps import BarPut, BarTaken
from rewriter.scores.score import read_score
from rewriter.theory.fifths import Interval

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.editing.edits import Edit
    from rewriter.merging.steps import Step
    from rewriter.merging.three import Three
    from rewriter.scores.score import Score

_LETTERS: Final = "abcdefghijklmnopqrstuvwxyz"
_UNMOVED: Final = Interval(0, 0)
_OF_THE_PROGRAM: Final = re.compile(rb' (?:width|id)="[^"]*"')


class Shape(NamedTuple):
    """Where bars are when bars have been put in and taken out.

    Attributes:
        now: bars of the new score, where they are.
        put: bars of the edited score that were put in, where they are.
    """

    now: dict[int, int]
    put: dict[int, int]

    @classmethod
    def as_it_is(cls, score: Score) -> Shape:
        """Where the bars of a score are as long as nothing is done to it."""
        count = max((len(part.bars) for part in score.parts), default=0)
        return cls({bar: bar for bar in range(count)}, {})


class _Run(NamedTuple):
    """Bars that follow each other and are put in, or taken out.

    Attributes:
        bar: index in the new score of the first, or of the one they are put before.
        many: how many.
        made: index in the edited score of the first that is put in; None where they go.
        by: they are so much higher.
    """

    bar: int
    many: int
    made: int | None
    by: Interval


def with_bars(
    three: Three, score: Score, source: Score, steps: Sequence[Step]
) -> tuple[Score, Shape]:
    """A score with bars put in and taken out.

    Args:
        three: the scores.
        score: the new one, as far as it is done.
        source: the edited one, from which bars are taken.
        steps: all that is to be done.
    """
    runs = [*_taken(steps), *_put(steps)]
    shape = _shape(three, runs)
    waiting: list[Edit] = []
    for run in sorted(runs, key=lambda run: (-run.bar, run.made is not None, -(run.made or 0))):
        edits = _edits(three, score, source, run)
        if _meet(edits, waiting):
            score, waiting = _done(score, waiting), []
            edits = _edits(three, score, source, run)
        waiting += edits
    score = _done(score, waiting)
    again = [
        edit
        for run in runs
        if run.made is not None and run.by != _UNMOVED
        for bar in range(run.made, run.made + run.many)
        for part in range(len(score.parts))
        for edit in written_again(score, InBar(part, shape.put[bar]))
    ]
    return _done(score, again), shape


def _done(score: Score, edits: Sequence[Edit]) -> Score:
    return read_score(edited(score, edits), unnamed=score.name) if edits else score


def _meet(edits: Sequence[Edit], others: Sequence[Edit]) -> bool:
    """True where two sets of edits are about one bar, or one is put where another goes."""
    return not {(edit.where, _child(edit)) for edit in edits}.isdisjoint(
        (edit.where, _child(edit)) for edit in others
    )


def _child(edit: Edit) -> object:
    return None if isinstance(edit.where, InBar) else getattr(edit, "child", None)


def _taken(steps: Sequence[Step]) -> Iterator[_Run]:
    bars = sorted({step.bar for step in steps if isinstance(step, BarTaken)})
    for _, group in groupby(enumerate(bars), key=lambda pair: pair[1] - pair[0]):
        run = [bar for _, bar in group]
        yield _Run(run[0], len(run), None, _UNMOVED)


def _put(steps: Sequence[Step]) -> Iterator[_Run]:
    found = sorted(
        (step for step in steps if isinstance(step, BarPut)), key=lambda s: s.made_bar
    )
    runs: list[_Run] = []
    for step in found:
        last = runs[-1] if runs else None
        if (
            last is not None
            and last.made is not None
            and (last.bar, last.made + last.many, last.by)
            == (step.before, step.made_bar, step.by)
        ):
            runs[-1] = last._replace(many=last.many + 1)
        else:
            runs.append(_Run(step.before, 1, step.made_bar, step.by))
    yield from runs


def _shape(three: Three, runs: Sequence[_Run]) -> Shape:
    now: dict[int, int] = {}
    put: dict[int, int] = {}
    at = 0
    count = max(len(part.bars) for part in three.new)
    gone = {
        bar for run in runs if run.made is None for bar in range(run.bar, run.bar + run.many)
    }
    coming = sorted((run.bar, run.made, run.many) for run in runs if run.made is not None)
    for bar in range(count + 1):
        for _, made, many in (run for run in coming if run[0] == bar):
            for step in range(many):
                put[made + step] = at
                at += 1
        if bar < count and bar not in gone:
            now[bar] = at
            at += 1
    return Shape(now, put)


def _edits(three: Three, score: Score, source: Score, run: _Run) -> list[Edit]:
    if run.made is None:
        return bars_taken_out(score, run.bar, run.many)
    made_of = {b: a for a, b in three.hand.pairs if a is not None and b is not None}
    now = {three.part_now[a]: b for b, a in made_of.items() if a in three.part_now}
    bars: dict[int, list[bytes]] = {}
    edits: list[Edit] = []
    names = _names(score, run)
    for part in range(len(score.parts)):
        where = InBar(part, run.bar)
        if part in now:
            found = fitted(score, where, source, InBar(now[part], run.made), run.many)
            new, after = found.bars, found.after
            if run.by != _UNMOVED:
                new = [moved_bar(bar, run.by, first=not at) for at, bar in enumerate(new)]
                after = list(_without_keys(after))
            edits += after
        else:
            lengths = [three.made_length(run.made + step) for step in range(run.many)]
            divisions = setting_before(score.parts[part], run.bar).divisions
            new = [resting_bar(length * divisions, "0") for length in lengths]
        bars[part] = [
            with_attribute(_without_width(bar), "number", name)
            for bar, name in zip(new, names, strict=True)
        ]
    return [*bars_put_in(score, run.bar, bars), *edits]


def _without_width(bar: bytes) -> bytes:
    """A bar whose width a program is to find, and which has no id."""
    opening, sign, rest = bar.partition(b">")
    return _OF_THE_PROGRAM.sub(b"", opening) + sign + rest


def _names(score: Score, run: _Run) -> list[str]:
    """Printed numbers: that of the bar before, and a letter, so that no other bar changes."""
    before = score.parts[0].numbers[run.bar - 1] if run.bar else "0"
    return [
        before + _LETTERS[at % len(_LETTERS)] * (1 + at // len(_LETTERS))
        for at in range(run.many)
    ]


def _without_keys(edits: Sequence[Edit]) -> Iterator[Edit]:
    """Edits that restore what was in force, without keys: these have not changed."""
    for edit in edits:
        if isinstance(edit, (Inserted, Replaced)) and edit.data.startswith(b"<attributes"):
            left = without(edit.data, "key") if isinstance(edit, Inserted) else edit.data
            if left:
                yield edit._replace(data=left)
        else:
            yield edit
