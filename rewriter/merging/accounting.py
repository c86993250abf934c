"""The account of a merge: every edit in one list, and what has to be printed again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, TypedDict

from rewriter.comparing.places import ScorePlaces
from rewriter.comparing.things import HEADING, Point
from rewriter.merging.deciding_notes import notes_text
from rewriter.merging.edits import NOTES
from rewriter.merging.results import Entry

if TYPE_CHECKING:
    from collections.abc import Container, Iterable

    from rewriter.comparing.difference import Gone
    from rewriter.comparing.things import Thing
    from rewriter.merging.decisions import Decision
    from rewriter.merging.edits import Edit
    from rewriter.merging.steps import Put
    from rewriter.merging.three import Three
    from rewriter.problems import Place

_LISTS: Final = {
    "carried": "carried", "conflict": "conflicts", "ambiguous": "ambiguous",
    "dropped": "dropped",
}  # fmt: skip


class Lists(TypedDict):
    """The lists of a result, and how many edits they account for."""

    found: int
    carried: list[Entry]
    restored: list[Entry]
    conflicts: list[Entry]
    ambiguous: list[Entry]
    dropped: list[Entry]


def accounts(
    three: Three, decisions: Iterable[Decision], homeless: Iterable[Put], gone: Iterable[Gone]
) -> Lists:
    """Every edit, in exactly one list.

    Args:
        three: the scores.
        decisions: about every edit.
        homeless: steps that could not be done after all.
        gone: kinds of things that a program has lost.
    """
    lost = set(map(id, homeless))
    wording = _Wording(three)
    lists: dict[str, list[Entry]] = {name: [] for name in _LISTS.values()}
    for decision in decisions:
        one = _without_place(decision, lost)
        lists[_LISTS[one.outcome]].append(wording.entry(one))
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

    def __init__(self, three: Three) -> None:
        self._three = three
        _, edited, new = three.scores
        self._new = ScorePlaces(new, three.new, three.divisions)
        self._edited = ScorePlaces(edited, three.edited, three.divisions)

    def entry(self, one: Decision) -> Entry:
        edit = one.edit
        was, hand = self._versions(edit)
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

    def _versions(self, edit: Edit) -> tuple[str, str]:
        """What stood there, and what the hand made of it, in words."""
        if edit.kind == NOTES and edit.part is not None and edit.bar is not None:
            three = self._three
            known = three.hand_pair(edit.part, edit.bar).voices
            base = three.bar(three.base, edit.part.a or 0, edit.bar).notes
            made = three.bar(three.edited, edit.part.b or 0, edit.made or 0).notes
            return (
                notes_text(note for note in base if note.thing.voice in edit.voices),
                notes_text(
                    note
                    for note in made
                    if note.thing.voice in edit.others
                    or known.get(note.thing.voice) in edit.voices
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
            point = Point(one.bar, 0 if edit.kind == NOTES else thing.at.onset)
            return self._new.at(point, part)
        if edit.made is not None:
            point = Point(edit.made, 0 if edit.kind == NOTES else thing.at.onset)
            return self._edited.at(point, edit.part.b if edit.part else None)
        return self._edited.at(Point(HEADING), edit.part.b if edit.part else None)


def _text(thing: Thing | None) -> str:
    return "" if thing is None else thing.what or "yes"


def _without_place(one: Decision, lost: Container[int]) -> Decision:
    if any(id(step) in lost for step in one.steps):
        return one._replace(outcome="dropped", why="nothing there to put it on")
    return one
