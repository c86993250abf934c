"""What has to be printed again: bars of each part that are not as in the edited score."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final

from rewriter.comparing.contents import UNMOVED
from rewriter.merging.edits import OF_NOTES
from rewriter.merging.results import Reprint

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rewriter.comparing.difference import Gone
    from rewriter.merging.decisions import Decision
    from rewriter.merging.reshaping import Shape
    from rewriter.merging.results import Reason
    from rewriter.merging.three import Three

_GRAVEST: Final[tuple[Reason, ...]] = (
    "music", "key", "layout", "conflict", "signs", "restored",
)  # fmt: skip


class Reprinting:
    """Finds the bars of each part that are to be printed again, and why."""

    def __init__(
        self, three: Three, decisions: Iterable[Decision], gone: Iterable[Gone], shape: Shape
    ) -> None:
        """Take what was decided.

        Args:
            three: the scores.
            decisions: about every edit.
            gone: what a program had lost, which is there again.
            shape: where the new score's bars are now.
        """
        self._three = three
        self._shape = shape
        self._base = {b: a for a, b in three.new_bars.bars.items()}
        self._reasons: dict[tuple[int | None, int], set[Reason]] = defaultdict(set)
        self._of_changes()
        self._of_decisions(decisions)
        for kind in gone:
            for one in kind.things:
                self._note(one.part.a if one.part else None, one.at.bar, "restored")

    def _note(self, part: int | None, bar: int, reason: Reason) -> None:
        """A reason in a bar of the base."""
        now = self._three.part_now.get(part) if part is not None else None
        if bar in self._three.new_bars.bars and (part is None or now is not None):
            self._reasons[now, self._three.new_bars.bars[bar]].add(reason)

    def _of_changes(self) -> None:
        """What the new score changed."""
        three = self._three
        for one in three.changes:
            if one.kind in {"bar", "part"} or one.at.bar < 0:
                continue
            bar = one.at.bar if one.a else self._base.get(one.at.bar, -1)
            of_notes = one.kind in OF_NOTES
            same_tune = of_notes and three.has_the_same_tune(bar)
            reason: Reason = "key" if one.kind == "key" else "signs"
            if of_notes:
                reason = "layout" if same_tune else "music"
            self._note(one.part.a if one.part else None, bar, reason)

    def _of_decisions(self, decisions: Iterable[Decision]) -> None:
        """What the hand made and is not there."""
        for one in decisions:
            if one.outcome == "carried" or one.won == "hand" or one.edit.bar is None:
                continue
            if one.edit.bar >= 0:
                part = one.edit.part.a if one.edit.part else None
                self._note(part, one.edit.bar, "conflict")

    def found(self) -> list[Reprint]:
        """The bars of each part."""
        parts = self._three.scores.new.parts
        known = {b: a for a, b in self._three.part_now.items()}
        return [
            Reprint(
                part=part.id,
                section=part.name,
                bars=[part.numbers[bar] for bar, _ in bars],
                indexes=[self._shape.now[bar] for bar, _ in bars],
                reasons=[reason for _, reason in bars],
            )
            for place, part in enumerate(parts)
            if (bars := list(self._of_part(place, known.get(place))))
        ]

    def _of_part(self, part: int, base: int | None) -> Iterator[tuple[int, Reason]]:
        for bar in sorted(self._shape.now):
            reasons = self._reasons[part, bar] | self._reasons[None, bar]
            before = self._base.get(bar)
            if before is None or before not in self._three.edited_bars.bars:
                reasons.add("music")
            elif base is None:
                reasons.add("layout")
            elif self._three.by(bar) != UNMOVED and self._sounds(part, bar):
                reasons.add("key")
            if reasons:
                yield bar, min(reasons, key=_GRAVEST.index)

    def _sounds(self, part: int, bar: int) -> bool:
        return bool(self._three.bar(self._three.new, part, bar).notes)
