"""From a merge to what is said of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.reporting.changed_bars import pages_of
from rewriter.reporting.columns import bar_runs
from rewriter.reporting.regenerated import EditTold, PartAgain, PrintAgain, Regenerated

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from rewriter.merging.results import Entry, Merged
    from rewriter.reporting.results import Report
    from rewriter.scores.score import Score


class Laid(NamedTuple):
    """What was laid side by side.

    Attributes:
        edited: as somebody has worked on it.
        base_name: the file of the base.
        why_base: that was taken.
        base: as the tool made it before.
        new: as it makes it now.
        part: the section, where these are parts of one; else empty.
    """

    edited: Score
    base_name: str
    why_base: str
    base: Score
    new: Score
    part: str


def regenerated_of(
    merged: Merged, report: Report, laid: Laid, score: Score, *, keep_breaks: bool, marked: bool
) -> Regenerated:
    """The account of a regeneration.

    Args:
        merged: what came of it.
        report: of the score as the tool alone makes it now.
        laid: the scores.
        score: that came of it.
        keep_breaks: pages are as they were, so that it can be said which are to be printed.
        marked: words in the score say what is to be settled.
    """
    again = [
        PartAgain(
            part=one.part,
            section=one.section,
            bars=[
                PrintAgain(bar=bar, index=index, reason=reason)
                for bar, index, reason in zip(one.bars, one.indexes, one.reasons, strict=True)
            ],
        )
        for one in merged.print_again
    ]
    pages = pages_of(score) if keep_breaks else []
    changed = {bar.index for part in again for bar in part.bars}
    gone = {one.part for one in again}
    return Regenerated(
        edited=laid.edited.name,
        part=laid.part,
        base=laid.base_name,
        why_base=laid.why_base,
        moved=_moved(merged, score),
        bars_before=_bars(laid.base),
        bars_now=_bars(score),
        found=merged.found,
        carried=_told(merged.carried),
        restored=_told(merged.restored),
        conflicts=_told(merged.conflicts, _to_settle),
        ambiguous=_told(merged.ambiguous, _to_place),
        dropped=_told(merged.dropped),
        print_again=again,
        stay=[part.name for part in score.parts if part.id not in gone],
        pages=[
            page.number
            for page in pages
            if not changed.isdisjoint(range(page.first, page.last + 1))
        ],
        pages_of=len(pages),
        marked=marked and bool(merged.conflicts),
        findings=[
            one
            for one in report.findings
            if not laid.part or one.place.part == laid.new.parts[0].id
        ],
    )


def _bars(score: Score) -> int:
    return max((len(part.bars) for part in score.parts), default=0)


def _moved(merged: Merged, score: Score) -> str:
    """How much higher the score is; by runs of bars where that differs."""
    texts = [one.text for one in merged.moved]
    if len(set(texts)) <= 1:
        return texts[0] if texts else ""
    numbers = max((part.numbers for part in score.parts), key=len, default=[])
    said = []
    for text in dict.fromkeys(filter(None, texts)):
        bars = [at for at, one in enumerate(texts) if one == text]
        runs = bar_runs(bars, numbers.__getitem__)
        said.append(f"bars {', '.join(runs)} {text}")
    return "; ".join(said)


def _told(
    entries: Iterable[Entry], to_do: Callable[[Entry], str] = lambda _: ""
) -> list[EditTold]:
    return [
        EditTold(
            kind=one.kind,
            section=one.section,
            part=one.place.part,
            movement=one.place.movement,
            bar=one.place.bar,
            index=one.place.bar_counted - 1,
            beat=one.place.beat,
            was=one.was,
            hand=one.hand,
            new=one.new,
            stands=one.stands,
            why=one.why,
            candidates=one.candidates,
            count=one.count,
            to_do=to_do(one),
        )
        for one in entries
    ]


def _to_settle(one: Entry) -> str:
    if one.stands == "hand":
        return "leave it, or take the new score's"
    return "leave it, or write the hand's there"


def _to_place(one: Entry) -> str:
    if not one.candidates:
        return "look where it belongs, and write it there"
    *others, last = one.candidates
    bars = f"{', '.join(others)} or {last}" if others else last
    return f"write it in bar {bars}, or say which bars answer to each other with --bars"
