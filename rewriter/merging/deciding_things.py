"""What becomes of edits of marks and signs, each on its own."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.spans import SPANNING
from rewriter.comparing.things import NEARLY, STANDS_ONCE, Point
from rewriter.merging.decisions import Decision
from rewriter.merging.edits import NOTES
from rewriter.merging.placing_things import Placing, base_bar
from rewriter.merging.steps import Sung

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Iterator

    from rewriter.comparing.difference import Difference
    from rewriter.comparing.things import Note, Thing
    from rewriter.merging.decisions import Prefer, Spot
    from rewriter.merging.edits import Edit
    from rewriter.merging.steps import Step
    from rewriter.merging.three import Three

_ALONE: Final = frozenset(
    ("dynamic", "hairpin", "tempo", "rehearsal mark", "clef", "key", "metre", "transposition",
     "staff lines", "barline", "repeat", "ending", "chord symbol", "figures", "fermata",
     "string", "fingering", "8va line", "lyric", "page break", "system break")
)  # fmt: skip
"""Kinds of which a place has one: two there are two versions, not two things."""

_NO_NOTE: Final = "no note begins there now"
_OF_A_HAND: Final = frozenset(("fingering", "string"))
"""What fits one pitch only."""


class _Theirs(NamedTuple):
    """What the new score did to the same thing.

    Attributes:
        changed: it did something.
        thing: what it has now; None for nothing.
    """

    changed: bool
    thing: Thing | None


class Things:
    """Decides about marks and signs, with what is decided about notes at hand."""

    def __init__(
        self,
        three: Three,
        prefer: Prefer,
        of_notes: Iterable[Decision],
        put: Container[int],
    ) -> None:
        """Get ready.

        Args:
            three: the scores.
            prefer: whose version stands in a conflict; the hand's where it is not said.
            of_notes: decided before.
            put: bars of the edited score that are put in whole.
        """
        self._three = three
        self._put = put
        self._prefer = prefer
        self._sung = {
            (step.part, step.bar, step.voice)
            for one in of_notes
            if one.edit.kind == NOTES
            for step in one.steps
            if isinstance(step, Sung)
        }
        self._changes: dict[tuple[int | None, str], list[Difference]] = defaultdict(list)
        for change in three.changes:
            self._changes[change.part.a if change.part else None, change.kind].append(change)

    def decide(self, edit: Edit, spot: Spot) -> Decision:
        """Decide about one thing.

        Args:
            edit: of a thing in a bar.
            spot: where it belongs.
        """
        known = {None, *self._three.part_now}
        found = [
            self._of_one(edit, one, spot)
            for one in edit.differences
            if (one.part.a if one.part else None) in known
        ]
        worst = min(found, key=lambda one: _GRAVEST.index(one.outcome))
        if worst.outcome != "carried":
            return worst._replace(steps=() if worst.won != "hand" else _all_steps(found))
        return worst._replace(steps=_all_steps(found))

    def _of_one(self, edit: Edit, one: Difference, spot: Spot) -> Decision:
        part = one.part.a if one.part else None
        placed = Placing(self._three, one, spot, self._put)
        carried = Decision(edit, "carried", bar=spot.bar)
        target = placed.target()
        if one.b is not None and (target is None or _is_open(one.b)):
            where = "where it ends is gone, or in doubt"
            why = "one of its ends is missing" if _is_open(one.b) else where
            return carried._replace(outcome="dropped", why=why)
        theirs = self._theirs(part, one, target)
        if theirs.changed and _same(theirs.thing, target, one):
            return carried._replace(why="the new score has it too")
        context = "another bar stands there now" if spot.is_another else ""
        if not context and target is not None and target.voice:
            context = self._context(one, spot, target)
        if context == _NO_NOTE:
            return carried._replace(outcome="conflict", why=context, won="new")
        if target is not None and one.kind in _OF_A_HAND and placed.is_elsewhere():
            return carried._replace(outcome="dropped", why="it fits another pitch")
        return self._weighed(carried, one, (placed, theirs, target), context)

    def _weighed(
        self,
        carried: Decision,
        one: Difference,
        sides: tuple[Placing, _Theirs, Thing | None],
        context: str,
    ) -> Decision:
        """The decision about what has a place, if both sides made something of it."""
        placed, theirs, target = sides
        steps = tuple(placed.steps(theirs.thing if theirs.changed else placed.there, target))
        if one.a is not None and not theirs.changed and placed.there is None:
            context = context or "the new score has it not where it was"
        if not theirs.changed and not context:
            return carried._replace(steps=steps)
        won = self._prefer or ("new" if placed.is_in_another_bar else "hand")
        return carried._replace(
            outcome="conflict", why=context or "the new score changed it too", won=won,
            steps=steps if won == "hand" else (),
            theirs=theirs.thing.what or theirs.thing.kind if theirs.thing else "",
        )  # fmt: skip

    def _theirs(self, part: int | None, one: Difference, target: Thing | None) -> _Theirs:
        """What the new score did there."""
        changes = self._changes.get((part, one.kind), ())
        found: Iterator[Difference] = iter(())
        if one.a is not None:
            found = (change for change in changes if change.a and change.a[2:] == one.a[2:])
        elif target is not None:
            near = self._near(one, target)
            found = (
                change
                for change in changes
                if change.a is None and change.b and _meet(change.b, target, near)
            )
        change = next(found, None)
        return _Theirs(change is not None, change.b if change else None)

    def _near(self, one: Difference, target: Thing) -> int:
        if one.kind not in NEARLY:
            return 0
        bars = self._three.new[0].bars
        return bars[target.at.bar].beat // 2 if target.at.bar < len(bars) else 0

    def _context(self, one: Difference, spot: Spot, target: Thing) -> str:
        """Why a mark may not be right on its notes; empty where it is."""
        if one.part is None or one.part.a is None:
            return ""
        three = self._three
        base = three.bar(three.moved, one.part.a, one.a.at.bar if one.a else spot.bar)
        if one.a is None:
            bar = three.made_of[one.b.at.bar] if one.b else 0
            base = three.bar(three.moved, one.part.a, bar)
        part = three.part_now[one.part.a]
        new = three.bar(three.new, part, spot.bar)
        voices = {note.thing.voice for note in new.notes}
        voice = target.voice if target.voice in voices else ""
        if not {(part, spot.bar, target.voice), (part, spot.bar, voice)}.isdisjoint(self._sung):
            return ""
        names = three.new_pair(one.part.a, base_bar(three, one)).voices
        before = _chord(base.notes, names.get(target.voice, ""), target.at)
        now = _chord(new.notes, target.voice, target.at)
        if not now:
            rest = target.kind == "fermata" and not before
            return "" if rest else _NO_NOTE
        return "" if _alike(before, now) else "the note under it is another now"


def _is_open(thing: Thing) -> bool:
    """True for what has two ends, of which one is not there."""
    return thing.kind in SPANNING and thing.until is None


_GRAVEST: Final = ("dropped", "ambiguous", "conflict", "carried")


def _all_steps(found: Iterable[Decision]) -> tuple[Step, ...]:
    return tuple(step for one in found for step in one.steps)


def _chord(notes: Iterable[Note], voice: str, at: Point) -> list[Note]:
    return [note for note in notes if note.thing.voice == voice and note.thing.at[1:] == at[1:]]


def _alike(a: Iterable[Note], b: Iterable[Note]) -> bool:
    """True for chords that are the same but for their octave."""
    one, two = (sorted(map(_without_octave, chord)) for chord in (a, b))
    return one == two


def _without_octave(note: Note) -> tuple[str, float, int]:
    if note.pitch is None:
        return note.thing.what, 0, note.length
    return note.pitch.step, note.pitch.alter, note.length


def _same(theirs: Thing | None, target: Thing | None, one: Difference) -> bool:
    """True where both sides made the same of it."""
    if theirs is None or target is None:
        return theirs is None and one.b is None
    return (
        theirs.what == target.what
        and theirs.until == target.until
        and (one.a is not None or theirs.kind == target.kind)
    )


def _meet(theirs: Thing, target: Thing, near: int) -> bool:
    """True for two versions of one thing, of those kinds of which a place has one."""
    if theirs.kind not in _ALONE:
        return theirs.what == target.what and _same_place(theirs, target, 0)
    return _same_place(theirs, target, near)


def _same_place(theirs: Thing, target: Thing, near: int) -> bool:
    owner = (theirs.voice, theirs.staff if not theirs.voice else "")
    wanted = (target.voice, target.staff if not target.voice else "")
    return (
        theirs.at.bar == target.at.bar
        and abs(theirs.at.onset - target.at.onset) <= near
        and theirs.at.grace == target.at.grace
        and (owner == wanted or theirs.kind in STANDS_ONCE)
    )
