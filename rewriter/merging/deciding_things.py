"""What becomes of edits of marks and signs, each on its own."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.things import NEARLY, STANDS_ONCE, Point
from rewriter.merging.decisions import Decision
from rewriter.merging.edits import NOTES
from rewriter.merging.steps import Put, Sung, Taken

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

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

    def __init__(self, three: Three, prefer: Prefer, of_notes: Iterable[Decision]) -> None:
        """Get ready.

        Args:
            three: the scores.
            prefer: whose version stands in a conflict; the hand's where it is not said.
            of_notes: decided before.
        """
        self._three = three
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
        placed = _Placing(self._three, one, spot)
        carried = Decision(edit, "carried", bar=spot.bar)
        target = placed.target()
        if one.b is not None and target is None:
            return carried._replace(
                outcome="dropped", why="where it ends is gone, or in doubt"
            )
        theirs = self._theirs(part, one, target)
        if theirs.changed and _same(theirs.thing, target, one):
            return carried._replace(why="the new score has it too")
        context = "another bar stands there now" if spot.is_another else ""
        if not context and target is not None and target.voice:
            context = self._context(one, spot, target)
        if context.startswith("no note"):
            return carried._replace(outcome="conflict", why=context, won="new")
        if target is not None and one.kind in _OF_A_HAND and placed.is_elsewhere():
            return carried._replace(outcome="dropped", why="it fits another pitch")
        steps = tuple(placed.steps(theirs.thing if theirs.changed else placed.there, target))
        if one.a is not None and not theirs.changed and placed.there is None:
            context = context or "the new score has it not where it was"
        if not theirs.changed and not context:
            return carried._replace(steps=steps)
        won = self._prefer or ("new" if spot.is_another else "hand")
        return carried._replace(
            outcome="conflict", why=context or "the new score changed it too", won=won,
            steps=steps if won == "hand" else (),
            theirs=theirs.thing.what or theirs.thing.kind if theirs.thing else "",
        )  # fmt: skip

    def _theirs(self, part: int | None, one: Difference, target: Thing | None) -> _Theirs:
        """What the new score did there."""
        changes = self._changes.get((part, one.kind), ())
        if one.a is not None:
            for change in changes:
                if change.a is not None and change.a[2:] == one.a[2:]:
                    return _Theirs(changed=True, thing=change.b)
            return _Theirs(changed=False, thing=None)
        if target is None or one.kind not in _ALONE:
            for change in changes:
                if target is not None and change.a is None and change.b is not None:
                    if _same_place(change.b, target, 0) and change.b.what == target.what:
                        return _Theirs(changed=True, thing=change.b)
            return _Theirs(changed=False, thing=None)
        near = self._near(one, target)
        for change in changes:
            if change.a is None and change.b and _same_place(change.b, target, near):
                return _Theirs(changed=True, thing=change.b)
        return _Theirs(changed=False, thing=None)

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
            return "" if rest else "no note begins there now"
        return "" if _alike(before, now) else "the note under it is another now"


def base_bar(three: Three, one: Difference) -> int:
    """The bar of the base that a difference is in."""
    if one.a is not None:
        return one.a.at.bar
    return three.made_of[one.b.at.bar] if one.b is not None else 0


_GRAVEST: Final = ("dropped", "ambiguous", "conflict", "carried")


def _all_steps(found: Iterable[Decision]) -> tuple[Step, ...]:
    return tuple(step for one in found for step in one.steps)


def _chord(notes: Iterable[Note], voice: str, at: Point) -> list[Note]:
    return [note for note in notes if note.thing.voice == voice and note.thing.at[1:] == at[1:]]


def _alike(a: list[Note], b: list[Note]) -> bool:
    """True for chords that are the same but for their octave."""
    said = [
        sorted((str(note.pitch[:2] if note.pitch else note.thing.what), note.length) for note in one)
        for one in (a, b)
    ]
    return said[0] == said[1]


def _same(theirs: Thing | None, target: Thing | None, one: Difference) -> bool:
    """True where both sides made the same of it."""
    if theirs is None or target is None:
        return theirs is None and one.b is None
    return theirs.what == target.what and theirs.until == target.until and (
        one.a is not None or theirs.kind == target.kind
    )


def _same_place(theirs: Thing, target: Thing, near: int) -> bool:
    owner = (theirs.voice, theirs.staff if not theirs.voice else "")
    wanted = (target.voice, target.staff if not target.voice else "")
    return (
        theirs.at.bar == target.at.bar
        and abs(theirs.at.onset - target.at.onset) <= near
        and theirs.at.grace == target.at.grace
        and (owner == wanted or theirs.kind in STANDS_ONCE)
    )


class _Placing:
    """Where a thing is in the new score, and where it goes."""

    def __init__(self, three: Three, one: Difference, spot: Spot) -> None:
        self._three = three
        self._one = one
        self._spot = spot
        self._part = one.part.a if one.part else None
        self._part_now = spot.part if one.part is None else three.part_now[one.part.a or 0]

    @property
    def there(self) -> Thing | None:
        """The thing in the new score, where the base has it."""
        thing = self._one.a
        if thing is None:
            return None
        at = self._point(thing.at, made=False)
        if at is None:
            return None
        what = self._moved(thing).what
        near = self._beat(at.bar) // 2 if thing.kind in NEARLY else 0
        voice = self._voice(thing, made=False)
        found = [
            (abs(other.at.onset - at.onset), place, other)
            for place, other in enumerate(self._things_now(at.bar))
            if (other.kind, other.what) == (thing.kind, what)
            and other.at.grace == at.grace
            and abs(other.at.onset - at.onset) <= near
            and (other.voice == voice or not thing.voice)
            and (other.until is None) == (thing.until is None)
        ]
        return min(found)[2] if found else None

    def _things_now(self, bar: int) -> list[Thing]:
        three = self._three
        if self._part is not None:
            return three.bar(three.new, self._part_now, bar).things
        return [
            thing for part in range(len(three.new)) for thing in three.bar(three.new, part, bar).things
        ]

    def _moved(self, thing: Thing) -> Thing:
        """The base's thing as it is expected in the new score."""
        if self._part is None:
            return thing
        three = self._three
        before = three.bar(three.base, self._part, thing.at.bar).things
        if thing not in before:
            return thing
        return three.bar(three.moved, self._part, thing.at.bar).things[before.index(thing)]

    def target(self) -> Thing | None:
        """The hand's thing at its places in the new score; None where they are not there."""
        thing = self._one.b
        if thing is None:
            return None
        at = self._point(thing.at, made=True)
        until = thing.until and self._point(thing.until, made=True)
        if at is None or (thing.until is not None and until is None):
            return None
        return thing._replace(at=at, until=until, voice=self._voice(thing, made=True))

    def _point(self, point: Point, *, made: bool) -> Point | None:
        three = self._three
        bar = three.made_of.get(point.bar) if made else point.bar
        now = three.new_bars.certain.get(bar) if bar is not None else None
        if now is None or bar in three.doubtful:
            return None
        return point._replace(bar=now)

    def _voice(self, thing: Thing, *, made: bool, at: Point | None = None) -> str:
        """The voice a thing is in, as the new score numbers it."""
        if not thing.voice or self._part is None or self._one.part is None:
            return thing.voice
        three = self._three
        point = at or thing.at
        bar = three.made_of[point.bar] if made else point.bar
        voice = thing.voice
        if made:
            voice = three.hand_pair(self._one.part, bar).voices.get(voice, "")
        names = {one: two for two, one in three.new_pair(self._part, bar).voices.items()}
        return names.get(voice, voice or thing.voice)

    def _beat(self, bar: int) -> int:
        return self._three.bar(self._three.new, max(self._part_now, 0), bar).beat

    def is_elsewhere(self) -> bool:
        """True where the new score sounds at another pitch than the hand's."""
        three, thing = self._three, self._one.b
        if thing is None or self._one.part is None or self._part is None:
            return False
        bar = three.made_of[thing.at.bar]
        made = three.bar(three.edited, self._one.part.b or 0, thing.at.bar).notes
        now = three.bar(three.new, self._part_now, self._spot.bar).notes
        heights = [
            {note.pitch.midi for note in notes if note.pitch and note.thing.at[1:] == thing.at[1:]}
            for notes in (made, now)
        ]
        return bool(three.move(bar).semitones) or heights[0].isdisjoint(heights[1])

    def steps(self, there: Thing | None, target: Thing | None) -> Iterator[Step]:
        """The new score's version taken out, and the hand's put in."""
        three = self._three
        if there is not None:
            for part in self._having(there):
                yield Taken(part, there)
        made = self._one.b
        if target is None or made is None:
            return
        part, made_part = max(self._part_now, 0), self._made_part(made)
        if self._part is None and there is not None:
            part = self._having(there)[0]
        until = self._voice(made, made=True, at=made.until) if made.until else ""
        by = three.move(base_bar(three, self._one))
        yield Put(part, target, until, made_part, made, by)

    def _having(self, thing: Thing) -> list[int]:
        """Parts of the new score that a thing stands in."""
        if self._part is not None:
            return [self._part_now]
        three = self._three
        return [
            part
            for part in range(len(three.new))
            if any(
                (other.kind, other.what) == (thing.kind, thing.what)
                for other in three.bar(three.new, part, thing.at.bar).things
            )
        ]

    def _made_part(self, made: Thing) -> int:
        if self._one.part is not None:
            return self._one.part.b or 0
        three = self._three
        return next(
            part
            for part in range(len(three.edited))
            if any(
                (other.kind, other.what) == (made.kind, made.what)
                and abs(other.at.onset - made.at.onset) <= other.at.onset
                for other in three.bar(three.edited, part, made.at.bar).things
            )
        )
