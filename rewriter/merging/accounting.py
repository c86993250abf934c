"""The account of a merge: every edit in one list, and what has to be printed again."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple, TypedDict

from msgspec.structs import replace

from rewriter.comparing.contents import UNMOVED, contents
from rewriter.comparing.places import ScorePlaces
from rewriter.comparing.things import HEADING, Point
from rewriter.merging.deciding_notes import notes_text
from rewriter.merging.edits import NOTES
from rewriter.merging.looking_again import not_as_made
from rewriter.merging.reshaping import Shape
from rewriter.merging.results import Conflict, Entry

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Iterator

    from rewriter.comparing.difference import Gone
    from rewriter.comparing.things import Thing
    from rewriter.merging.applying import Applied
    from rewriter.merging.decisions import Decision
    from rewriter.merging.edits import Edit
    from rewriter.merging.three import Three
    from rewriter.problems import Place
    from rewriter.scores.score import Score

_LISTS: Final = {
    "carried": "carried", "conflict": "conflicts", "ambiguous": "ambiguous",
    "dropped": "dropped",
}  # fmt: skip

_OTHERWISE: Final = "not all of it could be put in: a tie leads nowhere, or a pitch is another"


class Lists(TypedDict):
    """The lists of a result, and how many edits they account for."""

    found: int
    carried: list[Entry]
    restored: list[Entry]
    conflicts: list[Entry]
    ambiguous: list[Entry]
    dropped: list[Entry]


class Account(NamedTuple):
    """The account of a merge.

    Attributes:
        lists: every edit, in exactly one of them.
        conflicts: those that have a place in the merged score, with both versions.
    """

    lists: Lists
    conflicts: list[Conflict]


def account(
    three: Three,
    decisions: Iterable[Decision],
    done: Applied,
    merged: Score,
    gone: Iterable[Gone],
) -> Account:
    """Every edit, in exactly one list.

    Args:
        three: the scores.
        decisions: about every edit.
        done: what came of them.
        merged: the score that did.
        gone: kinds of things that a program has lost.
    """
    decisions = list(decisions)
    lost = set(map(id, done.homeless))
    otherwise = set(map(id, not_as_made(three, decisions, done, merged)))
    wording = _Wording(three, done, merged)
    lists: dict[str, list[Entry]] = {name: [] for name in _LISTS.values()}
    conflicts: list[Conflict] = []
    for decision in decisions:
        one = _without_place(decision, lost)
        if id(decision) in otherwise:
            one = one._replace(outcome="conflict", won="new", why=_OTHERWISE)
        entry = wording.entry(one)
        lists[_LISTS[one.outcome]].append(entry)
        if one.outcome == "conflict":
            conflicts += wording.conflict(one, entry)
    return Account(_counted(lists, gone), conflicts)


def _counted(lists: dict[str, list[Entry]], gone: Iterable[Gone]) -> Lists:
    restored = [
        Entry(
            kind=one.kind, why="gone everywhere: a program has lost it", count=len(one.things)
        )
        for one in gone
    ]
    count = sum(map(len, lists.values())) + sum(one.count for one in restored)
    return Lists(
        found=count,
        carried=lists["carried"],
        restored=restored,
        conflicts=lists["conflicts"],
        ambiguous=lists["ambiguous"],
        dropped=lists["dropped"],
    )


class _Wording:
    """Decisions as people read them."""

    def __init__(self, three: Three, done: Applied, merged: Score) -> None:
        self._three = three
        self._shape = done.shape
        _, edited, new = three.scores
        self._new = ScorePlaces(new, three.new, three.divisions)
        self._edited = ScorePlaces(edited, three.edited, three.divisions)
        self._merged = self._new
        if done.shape != Shape.as_it_is(new):
            parts = [contents(part, three.divisions) for part in merged.parts]
            self._merged = ScorePlaces(merged, parts, three.divisions)
        self._parts = {part.id: place for place, part in enumerate(merged.parts)}

    def entry(self, one: Decision) -> Entry:
        edit = one.edit
        was, hand = self._versions(edit, one.bar)
        return Entry(
            kind=edit.kind,
            place=self._place(one),
            section=self._section(edit),
            was=was,
            hand=hand,
            new=one.theirs,
            stands=one.won,
            why=one.why,
            candidates=[self._new.number(bar) for bar in one.candidates],
        )

    def _section(self, edit: Edit) -> str:
        if edit.part is None:
            return ""
        base, edited, _ = self._three.scores
        if edit.part.a is not None:
            return base.parts[edit.part.a].name
        return edited.parts[edit.part.b or 0].name

    def _versions(self, edit: Edit, bar: int | None) -> tuple[str, str]:
        """What stood there, and what the hand made of it, in words, in the new score's key."""
        if edit.kind == NOTES and edit.part is not None and edit.bar is not None:
            three = self._three
            by = UNMOVED if bar is None else three.move(edit.bar)
            known = three.hand_pair(edit.part, edit.bar).voices
            base = three.bar(three.base, edit.part.a or 0, edit.bar).notes
            made = three.bar(three.edited, edit.part.b or 0, edit.made or 0).notes
            return (
                notes_text((note for note in base if note.thing.voice in edit.voices), by),
                notes_text(
                    (
                        note
                        for note in made
                        if note.thing.voice in edit.others
                        or known.get(note.thing.voice) in edit.voices
                    ),
                    by,
                ),
            )
        return _text(edit.was), _text(edit.now)

    def _place(self, one: Decision) -> Place:
        edit = one.edit
        thing = edit.now or edit.was
        if edit.kind == "bar" and one.bar is None and edit.made is not None:
            return self._edited.at(Point(edit.made), edit.part.b if edit.part else None)
        if thing is None or thing.at.bar == HEADING:
            return self._edited.at(Point(HEADING), edit.part.b if edit.part else None)
        if one.bar is not None and one.outcome != "ambiguous":
            part = self._three.part_now.get(edit.part.a or 0) if edit.part else None
            place, there = self._now(one, one.bar)
            point = Point(there, 0 if edit.kind == NOTES else thing.at.onset)
            found = place.at(point, None)
            new = self._three.scores.new
            return replace(found, part=new.parts[part].id if part is not None else "")
        if edit.made is not None:
            point = Point(edit.made, 0 if edit.kind == NOTES else thing.at.onset)
            return self._edited.at(point, edit.part.b if edit.part else None)
        return self._edited.at(Point(HEADING), edit.part.b if edit.part else None)

    def _now(self, one: Decision, bar: int) -> tuple[ScorePlaces, int]:
        """Where a bar of the new score is in the merged one; in the new one where it went."""
        put = self._shape.put.get(one.edit.made) if one.edit.made is not None else None
        now = self._shape.now.get(bar) if put is None else put
        return (self._new, bar) if now is None else (self._merged, now)

    def conflict(self, one: Decision, entry: Entry) -> Iterator[Conflict]:
        """A conflict that has a place in the merged score."""
        edit, three = one.edit, self._three
        thing = edit.now or edit.was
        bar = self._shape.now.get(one.bar) if one.bar is not None else None
        if bar is None or one.bar is None or edit.made is None or thing is None:
            return
        onset = 0 if edit.kind == NOTES else thing.at.onset
        part = three.part_now.get(edit.part.a or 0, 0) if edit.part else 0
        yield Conflict(
            entry,
            self._parts.get(entry.place.part),
            bar,
            Fraction(onset, three.divisions),
            (edit.part.b or 0 if edit.part else 0, edit.made),
            (part, one.bar),
            three.by(one.bar),
        )


def _text(thing: Thing | None) -> str:
    return "" if thing is None else thing.what or "yes"


def _without_place(one: Decision, lost: Container[int]) -> Decision:
    if any(id(step) in lost for step in one.steps):
        return one._replace(outcome="dropped", why="nothing there to put it on")
    return one
