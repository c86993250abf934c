"""What becomes of edits of whole bars, whole parts, names and titles."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.comparing.things import HEADING
from rewriter.merging.decisions import Decision
from rewriter.merging.edits import Edit
from rewriter.merging.steps import BarPut, BarTaken, Headed, PartPut, PartTaken

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.comparing.difference import Difference
    from rewriter.merging.decisions import Prefer
    from rewriter.merging.three import Three


def decide_bar_taken(three: Three, edit: Edit) -> Decision:
    """A bar cut by hand stays cut, where it is known which it is.

    Args:
        three: the scores.
        edit: of a bar that the edited score has not.
    """
    bar = edit.bar or 0
    now = three.new_bars.certain.get(bar)
    if now is None:
        return Decision(edit, "carried", "the new score has it not either")
    if bar in three.new_bars.unlike:
        return Decision(edit, "conflict", "another bar stands there now", bar=now, won="new")
    return Decision(edit, "carried", steps=(BarTaken(now),), bar=now)


def decide_bar_put(three: Three, edit: Edit) -> Decision:
    """A bar put in by hand goes beside the neighbours it had.

    Args:
        three: the scores.
        edit: of a bar that the base has not.
    """
    made = edit.made or 0
    before, after = _neighbour(three, made, -1), _neighbour(three, made, 1)
    count = max(len(part.bars) for part in three.new)
    ends = {"doubt"} & {before, after}
    places = [
        place + 1 if side < 0 else place
        for side, place in ((-1, before), (1, after))
        if isinstance(place, int)
    ]
    if before == "end" and after == "end":
        places = [count]
    elif before == "end" and after == 0:
        places = [0]
    if not places:
        if ends:
            return Decision(edit, "ambiguous", "nobody can tell which bars it stood between")
        return Decision(edit, "dropped", "the bars it stood between are gone")
    before_bar = places[0]
    move = three.by(min(before_bar, count - 1))
    return Decision(edit, "carried", steps=(BarPut(before_bar, made, move),), bar=before_bar)


def _neighbour(three: Three, made: int, step: int) -> int | str:
    """The bar of the new score that the next bar of the base beside a bar is.

    ``end`` where there is none, ``doubt`` where nobody knows, ``gone`` where it is gone.
    """
    last = max(len(part.bars) for part in three.edited)
    while 0 <= made + step < last:
        made += step
        bar = three.made_of.get(made)
        if bar is None:
            continue
        if bar in three.doubtful or bar in three.new_bars.candidates:
            return "doubt"
        now = three.new_bars.bars.get(bar)
        return "gone" if now is None else now
    return "end"


def decide_part(three: Three, edit: Edit) -> Iterator[Decision]:
    """A part put in by hand is carried whole; one taken out stays out.

    Args:
        three: the scores.
        edit: of a part that one of base and edited score has.
    """
    if edit.part is None:
        return
    if edit.part.b is None:
        now = three.part_now.get(edit.part.a or 0)
        if now is None:
            yield Decision(edit, "carried", "the new score has it not either")
        else:
            yield Decision(edit, "carried", steps=(PartTaken(now),))
        return
    made = edit.part.b
    names = {part.full_name.casefold() for part in three.scores.new.parts}
    if three.scores.edited.parts[made].full_name.casefold() in names:
        yield Decision(edit, "conflict", "the new score has a part of this name", won="new")
        return
    yield Decision(edit, "carried", steps=(PartPut(_stands_before(three, made), made),))
    yield from _bars_lost(three, edit, made)


def _bars_lost(three: Three, edit: Edit, made_part: int) -> Iterator[Decision]:
    """Bars of a part put in by hand in which it plays and which have no place."""
    for made, bar in enumerate(three.edited[made_part].bars):
        was = three.made_of.get(made)
        another = was in three.new_bars.unlike
        if (
            not bar.notes
            or was is None
            or (three.certain_now(made) is not None and not another)
        ):
            continue
        lost = Edit("bar", edit.part, was, made, edit.differences)
        several = [one for one in three.new_bars.candidates.get(was, ()) if one is not None]
        if was in three.new_bars.candidates or was in three.doubtful:
            yield Decision(
                lost, "ambiguous", "nobody can tell which bar it is now",
                candidates=tuple(several),
            )  # fmt: skip
        else:
            why = "another bar stands there now" if another else "its bar is gone"
            yield Decision(lost, "dropped", why)


def _stands_before(three: Three, made: int) -> int:
    """The part of the new score that a part of the edited one stands before."""
    for pair in sorted(three.hand.pairs, key=lambda pair: pair.b if pair.b is not None else -1):
        if pair.b is not None and pair.b > made and pair.a in three.part_now:
            return three.part_now[pair.a or 0]
    return len(three.new)


def decide_heading(three: Three, edit: Edit, prefer: Prefer) -> Decision:
    """A name or title.

    Args:
        three: the scores.
        edit: of one.
        prefer: whose version stands in a conflict; the hand's where it is not said.
    """
    part = three.part_now.get(edit.part.a or 0) if edit.part else None
    if edit.part is not None and part is None:
        return Decision(edit, "dropped", "its part is not in the new score")
    theirs = next((one for one in three.changes if _is_of(one, edit)), None)
    was, now = (thing.what if thing else "" for thing in (edit.was, edit.now))
    there = was
    if theirs is not None:
        there = theirs.b.what if theirs.b else ""
    if there == now:
        return Decision(edit, "carried", "the new score has it too")
    steps = (Headed(part, edit.kind, there, now),)
    if theirs is None:
        return Decision(edit, "carried", steps=steps)
    won = prefer or "hand"
    return Decision(
        edit, "conflict", "the new score changed it too", steps if won == "hand" else (),
        won=won, theirs=there,
    )  # fmt: skip


def _is_of(change: Difference, edit: Edit) -> bool:
    """True for what the new score did to the same name."""
    mine, theirs = edit.was, change.a
    return (
        change.kind == edit.kind
        and change.at.bar == HEADING
        and (change.part and change.part.a) == (edit.part and edit.part.a)
        and (theirs.what if theirs else "") == (mine.what if mine else "")
    )
