"""Decides about every edit, in order; nothing is done yet."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from rewriter.comparing.things import HEADING
from rewriter.merging.crossing import crossing
from rewriter.merging.deciding_notes import decide_notes
from rewriter.merging.deciding_things import Things
from rewriter.merging.deciding_whole import (
    decide_bar_put,
    decide_bar_taken,
    decide_heading,
    decide_part,
)
from rewriter.merging.decisions import Decision, Spot
from rewriter.merging.edits import NOTES
from rewriter.merging.steps import BarPut, Put

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Iterator

    from rewriter.merging.decisions import Prefer
    from rewriter.merging.edits import Edit
    from rewriter.merging.steps import Step
    from rewriter.merging.three import Three


def decided(three: Three, edits: Iterable[Edit], prefer: Prefer) -> list[Decision]:
    """What becomes of each edit, in the order given; of a part put in, of its bars as well.

    Args:
        three: the scores.
        edits: what the hand did.
        prefer: whose version stands in conflicts; empty for the new one's notes and the
            hand's marks.
    """
    edits = list(edits)
    found: dict[int, list[Decision]] = {}
    for place, edit in enumerate(edits):
        if edit.kind in {"bar", "part"} or edit.bar == HEADING:
            found[place] = list(_of_whole(three, edit, prefer))
        elif edit.kind == NOTES:
            known = _placed(three, edit)
            found[place] = [known or decide_notes(three, edit, _spot(three, edit), prefer)]
    before = [one for decisions in found.values() for one in decisions]
    put = {step.made_bar for one in before for step in one.steps if isinstance(step, BarPut)}
    things = Things(three, prefer, before, put)
    for place, edit in enumerate(edits):
        if place not in found:
            known = _placed(three, edit)
            found[place] = [known or things.decide(edit, _spot(three, edit))]
    decisions = [one for place in sorted(found) for one in found[place]]
    return list(_with_crossing(three, decisions, put))


def _with_crossing(
    three: Three, decisions: Iterable[Decision], put: Container[int]
) -> Iterator[Decision]:
    """Decisions, with a bar that is put in those spans that begin there and end behind it."""
    spans: dict[int, list[Step]] = defaultdict(list)
    now = {b: three.part_now.get(a) for a, b in three.hand.pairs if a is not None}
    for made_part, thing in crossing(three.edited, put):
        part = now.get(made_part)
        if part is None or thing.until is None or thing.at.bar not in put:
            continue
        bar = three.certain_now(thing.until.bar)
        if bar is not None:
            until = thing.until._replace(bar=bar)
            by = three.by(bar)
            spans[thing.at.bar].append(
                Put(part, thing._replace(until=until), thing.voice, made_part, thing, by)
            )
    for one in decisions:
        bars = [step.made_bar for step in one.steps if isinstance(step, BarPut)]
        more = [step for bar in bars for step in spans[bar]]
        yield one._replace(steps=(*one.steps, *more))


def _of_whole(three: Three, edit: Edit, prefer: Prefer) -> Iterator[Decision]:
    if edit.kind == "part":
        yield from decide_part(three, edit)
    elif edit.kind != "bar":
        yield decide_heading(three, edit, prefer)
    elif edit.was is None:
        yield decide_bar_put(three, edit)
    else:
        doubt = _in_doubt(three, edit)
        yield doubt or decide_bar_taken(three, edit)


def _placed(three: Three, edit: Edit) -> Decision | None:
    """The decision about an edit that has no place in the new score, or nobody knows which."""
    doubt = _in_doubt(three, edit)
    if doubt:
        return doubt
    if edit.bar not in three.new_bars.bars:
        return Decision(edit, "dropped", "its bar is gone")
    if edit.part is not None and edit.part.a not in three.part_now:
        return Decision(edit, "dropped", "its part is not in the new score")
    return None


def _in_doubt(three: Three, edit: Edit) -> Decision | None:
    bar = edit.bar if edit.bar is not None else -1
    several = three.new_bars.candidates.get(bar)
    why = "the new score has several bars it may be in"
    if bar in three.doubtful:
        several = [three.new_bars.bars.get(bar)]
        why = "nobody can tell which bar it was made in"
    if several is None:
        return None
    places = tuple(place for place in several if place is not None)
    if None in several and bar not in three.doubtful:
        why = "its bar may be gone"
    return Decision(edit, "ambiguous", why, candidates=places)


def _spot(three: Three, edit: Edit) -> Spot:
    bar = edit.bar or 0
    part = three.part_now[edit.part.a or 0] if edit.part else -1
    return Spot(part, three.new_bars.bars[bar], bar in three.new_bars.unlike)
