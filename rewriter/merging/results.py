"""What comes of a merge: the score, and an account of every edit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

import msgspec

from rewriter.problems import Place
from rewriter.theory.fifths import Interval  # noqa: TC001 - msgspec looks at it

if TYPE_CHECKING:
    from fractions import Fraction

Reason = Literal["music", "key", "layout", "conflict", "signs", "restored"]
"""Why a bar is to be printed again: other music or a new bar, another key, the same music in
other parts, an edit that is not in the score, other marks and signs, something a program had
lost."""


class Entry(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What became of an edit.

    Attributes:
        kind: ``notes`` for those of a voice in a bar, or a kind of thing such as ``slur``,
            ``bar``, ``part``.
        place: in the merged score where it has one for it, else in the edited score.
        section: name of the part; empty for what belongs to the whole score.
        was: what stood there before anybody edited it; empty for nothing.
        hand: what the hand made of it; empty for nothing.
        new: what the new score has, where it has changed the same thing.
        stands: whose version stands, in a conflict: ``hand`` or ``new``.
        why: in a clause.
        candidates: printed bars of the new score it may belong to.
        count: how many things, where a program has lost all of a kind.
    """

    kind: str
    place: Place = Place()
    section: str = ""
    was: str = ""
    hand: str = ""
    new: str = ""
    stands: str = ""
    why: str = ""
    candidates: list[str] = []
    count: int = 1


class Conflict(NamedTuple):
    """An edit of what the new score changed too, and where both versions are.

    Attributes:
        entry: the account of it.
        part: index in the merged score; None for what all parts have.
        bar: index in the merged score.
        onset: quarters from the start of the bar.
        hand: indexes of part and bar in the edited score.
        new: likewise in the new score.
        by: the new score is so much higher there.
    """

    entry: Entry
    part: int | None
    bar: int
    onset: Fraction
    hand: tuple[int, int]
    new: tuple[int, int]
    by: Interval


class Reprint(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Bars of a part that are not as in the edited score.

    Attributes:
        part: id in the new score.
        section: its name.
        bars: printed numbers, in order.
        indexes: the same counted from 0.
        reasons: for each bar.
    """

    part: str
    section: str
    bars: list[str]
    indexes: list[int]
    reasons: list[Reason]


class Merged(msgspec.Struct, frozen=True, kw_only=True):
    """A score made anew with what somebody had done to the old one.

    Attributes:
        score: MusicXML, zipped where the new score came zipped.
        found: how many edits there were; as many as all lists together account for.
        carried: edits that are in the score.
        restored: kinds of things a program had lost everywhere.
        conflicts: edits of what the new score changed too.
        ambiguous: edits nobody can tell the place of; they are not in the score.
        dropped: edits that have no place in the new score.
        print_again: bars of each part that are not as in the edited score.
        conflict_score: MusicXML with nothing but what lost in the conflicts; empty where it
            was not asked for or there are none.
        moved: so much higher than the base is each bar of the merged score.
    """

    score: bytes
    found: int
    carried: list[Entry]
    restored: list[Entry]
    conflicts: list[Entry]
    ambiguous: list[Entry]
    dropped: list[Entry]
    print_again: list[Reprint]
    conflict_score: bytes = b""
    moved: list[Interval] = []
