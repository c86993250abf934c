"""What became of hand corrections when a score was made anew."""

from __future__ import annotations

from typing import Final, Literal

import msgspec

from rewriter.problems import Finding  # noqa: TC001 - the schema is made of it

FORMAT: Final = "rewriter report of regenerate 1"
"""First value of every such report; the number rises when a field changes its meaning."""


class EditTold(msgspec.Struct, frozen=True, kw_only=True):
    """An edit, and what became of it.

    Attributes:
        kind: `notes` for those of a voice in a bar, or a kind of thing such as `slur`, `bar`,
            `part`.
        section: name of the part; empty for what belongs to the whole score.
        part: id of the part; empty likewise.
        movement: counted from 1; 0 in a file of one.
        bar: as printed in the score that was made, or, where that has no place for it, in the
            edited one; empty for names and titles.
        index: the same bar counted from 0; -1 for names and titles.
        beat: counted from 1 in the denominator of the printed metre; empty likewise.
        was: what stood there before anybody edited it; empty for nothing.
        hand: what the hand made of it; empty for nothing.
        new: what the new score has, where it has changed the same thing.
        stands: whose version stands, in a conflict: `hand` or `new`; empty for all else.
        why: in a clause; empty where there is nothing to say.
        candidates: printed bars of the new score it may belong to.
        count: how many things, where a program had lost all of a kind; else 1.
        to_do: what somebody may want to do about it; empty for nothing.
    """

    kind: str
    section: str
    part: str
    movement: int
    bar: str
    index: int
    beat: str
    was: str
    hand: str
    new: str
    stands: str
    why: str
    candidates: list[str]
    count: int
    to_do: str


class PrintAgain(msgspec.Struct, frozen=True, kw_only=True):
    """A bar of a part that is not as in the edited score.

    Attributes:
        bar: as printed in the score that was made.
        index: counted from 0.
        reason: `music` for other music or a new bar, `key` for another key, `layout` for the
            same music in other parts, `conflict` for an edit that is not in the score,
            `signs` for other marks, `restored` for what a program had lost.
    """

    bar: str
    index: int
    reason: Literal["music", "key", "layout", "conflict", "signs", "restored"]


class PartAgain(msgspec.Struct, frozen=True, kw_only=True):
    """A part that goes back to its stand.

    Attributes:
        part: id in the score that was made.
        section: its name.
        bars: that are not as in the edited score, in order.
    """

    part: str
    section: str
    bars: list[PrintAgain]


class Regenerated(msgspec.Struct, frozen=True, kw_only=True):
    """A score made anew, and what became of what a hand had done to it.

    Attributes:
        edited: the file somebody had worked on.
        part: the section, where it is the part of one; empty for a whole score.
        base: what it was held against, as the tool made it before.
        why_base: that was taken, in a clause.
        moved: how much higher the new score is, such as `down M2`; empty for not at all, and
            `bars 9-16 up M2` where passages differ.
        bars_before: how many bars it had as the tool made it.
        bars_now: how many it has now.
        found: how many edits there were; as many as the lists account for.
        carried: edits that are in the score.
        restored: kinds of things a program had lost everywhere; they are there again.
        conflicts: edits of what the new score has changed too.
        ambiguous: edits nobody can tell the place of; they are not in the score.
        dropped: edits that have no place in the new score.
        print_again: parts that go back to the stands.
        stay: names of parts that are as they were.
        pages: numbers of the pages with such bars, where breaks are kept; else empty.
        pages_of: how many pages there are; 0 where breaks are not kept.
        marked: True where words in the score say what is to be settled.
        findings: what was found in the score as the tool made it, before the hand's edits.
    """

    edited: str
    part: str
    base: str
    why_base: str
    moved: str
    bars_before: int
    bars_now: int
    found: int
    carried: list[EditTold]
    restored: list[EditTold]
    conflicts: list[EditTold]
    ambiguous: list[EditTold]
    dropped: list[EditTold]
    print_again: list[PartAgain]
    stay: list[str]
    pages: list[str]
    pages_of: int
    marked: bool
    findings: list[Finding]

    @property
    def needs_a_look(self) -> bool:
        """True where somebody has to look: conflicts, ambiguous edits, errors in the music."""
        errors = any(one.severity == "error" for one in self.findings)
        return bool(self.conflicts or self.ambiguous or errors)


class RegeneratedFile(msgspec.Struct, frozen=True, kw_only=True):
    """The report of `rewriter regenerate` as a file.

    Attributes:
        format: of the report, with its version.
        version: of the tool.
        digest: SHA-256 of the file with zeros here; by it a changed report is known.
        written_to: the score; empty in a dry run.
        copy: of the score as the tool made it; empty where none is kept.
        conflicts_to: the score of what lost in conflicts; empty where there is none.
        report: what became of every edit.
    """

    format: str
    version: str
    digest: str
    written_to: str
    copy: str
    conflicts_to: str
    report: Regenerated
