"""What becomes of each edit, decided before anything is done."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from rewriter.merging.edits import Edit
    from rewriter.merging.steps import Step

Outcome = Literal["carried", "conflict", "ambiguous", "dropped"]
Prefer = Literal["", "hand", "new"]
Winner = Literal["", "hand", "new"]


class Decision(NamedTuple):
    """What becomes of an edit.

    Attributes:
        edit: which.
        outcome: what.
        why: in a clause; empty where there is nothing to say.
        steps: how it is done; none where the new score has it already, or nothing is done.
        bar: index in the new score; None where it has none for it.
        candidates: bars of the new score it may belong to.
        won: whose version stands, in a conflict.
        theirs: what the new score has, in a conflict.
    """

    edit: Edit
    outcome: Outcome
    why: str = ""
    steps: tuple[Step, ...] = ()
    bar: int | None = None
    candidates: tuple[int, ...] = ()
    won: Winner = ""
    theirs: str = ""


class Spot(NamedTuple):
    """Where in the new score an edit belongs.

    Attributes:
        part: index; -1 for what belongs to all.
        bar: index.
        is_another: another bar stands in its place.
    """

    part: int
    bar: int
    is_another: bool
