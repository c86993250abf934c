"""Decides about every edit, in order; nothing is done yet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.comparing.things import HEADING
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

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rewriter.merging.decisions import Prefer
    from rewriter.merging.edits import Edit
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
    of_notes = {
        place: _placed(three, edit) or decide_notes(three, edit, _spot(three, edit), prefer)
        for place, edit in enumerate(edits)
        if edit.kind == NOTES
    }
    things = Things(three, prefer, of_notes.values())
    found: list[Decision] = []
    for place, edit in enumerate(edits):
        if place in of_notes:
            found.append(of_notes[place])
        elif edit.kind in {"bar", "part"} or edit.bar == HEADING:
            found += _of_whole(three, edit, prefer)
        else:
            found.append(_placed(three, edit) or things.decide(edit, _spot(three, edit)))
    return found


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
