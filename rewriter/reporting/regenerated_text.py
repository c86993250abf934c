"""What became of hand corrections, as plain text: what needs a look comes first."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.problems import Place
from rewriter.reporting.columns import align, bar_runs, count, wrap_hanging
from rewriter.reporting.text import LABEL, WIDTH, count_findings

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.reporting.regenerated import EditTold, PartAgain, Regenerated

_FEW: Final = 5
"""Carried edits that are named; the rest are counted."""
_REASONS: Final = {
    "music": "other music", "key": "another key", "layout": "another layout",
    "conflict": "an edit that is not there", "signs": "other marks",
    "restored": "marks that were lost",
}  # fmt: skip


class Files(NamedTuple):
    """Where everything is, or would be; empty for what is nowhere.

    Attributes:
        score: the score that was made.
        copy: of it as the tool made it.
        conflicts: the score of what lost.
        dry: True when nothing was written.
    """

    score: str
    copy: str
    conflicts: str
    dry: bool


def regenerated_as_text(report: Regenerated, files: Files, width: int = WIDTH) -> str:
    """Word what became of every edit.

    Args:
        report: of a regeneration.
        files: that were written.
        width: columns; only a word or a row that is longer goes beyond.

    Returns:
        Lines, each ended.
    """
    blocks = [
        list(_head(report, files, width)),
        _listed(_conflicts(report), report.conflicts, width),
        _listed("Nobody can tell where; not in the score", report.ambiguous, width),
        _listed("Not carried", report.dropped, width),
        list(_carried(report, width)),
        list(_again(report, width)),
    ]
    return "\n".join("\n".join(block) + "\n" for block in blocks if block)


def _head(report: Regenerated, files: Files, width: int) -> Iterator[str]:
    done = "would be written" if files.dry else "written"
    said = f"{report.edited}: {_summary(report)}; {done} to {files.score}"
    yield from wrap_hanging(said, first="", rest="    ", width=width)
    yield ""
    rows = [("Part", report.part), ("Base", f"{report.base}; {report.why_base}")]
    rows += [("Moved", report.moved), ("Bars", _bars(report))]
    restored = ", ".join(f"{one.kind} ({one.count})" for one in report.restored)
    if restored:
        rows.append(("Restored", f"{restored}: gone everywhere, as when a program drops them"))
    if report.findings:
        said = f"{count_findings(report.findings)} in the music as the tool makes it"
        rows.append(("Found", f"{said}; rewriter check shows those of the new score"))
    rows += [("Copy", files.copy), ("Conflicts", files.conflicts)]
    for label, text in rows:
        if text:
            margin = f"  {label}".ljust(LABEL)
            yield from wrap_hanging(text, first=margin, rest=" " * LABEL, width=width)


def _summary(report: Regenerated) -> str:
    if not report.found:
        return "nothing was edited"
    lists = {
        "carried": report.carried,
        "restored": report.restored,
        "in conflict": report.conflicts,
        "in doubt": report.ambiguous,
        "not carried": report.dropped,
    }
    said = [f"{sum(e.count for e in edits)} {name}" for name, edits in lists.items() if edits]
    return f"{count(report.found, 'edit')}: {', '.join(said)}"


def _bars(report: Regenerated) -> str:
    before, now = report.bars_before, report.bars_now
    return f"{now}" if before == now else f"{now}, before {before}"


def _conflicts(report: Regenerated) -> str:
    words = "; words in the score say where" if report.marked else ""
    return f"To settle: changed by hand and in the sketch, plan or key{words}"


def _listed(heading: str, edits: Sequence[EditTold], width: int) -> list[str]:
    if not edits:
        return []
    rows = wrap_hanging(heading, first="", rest="    ", width=width)
    for edit in edits:
        rows += wrap_hanging(
            f"{_where(edit)}: {_what(edit)}", first="  ", rest="      ", width=width
        )
        for label, text in _versions(edit):
            rows += wrap_hanging(text, first=f"      {label}  ", rest=" " * 20, width=width)
        if edit.to_do:
            rows += wrap_hanging(edit.to_do, first="      ", rest="      ", width=width)
    return rows


def _where(edit: EditTold) -> str:
    place = Place(movement=edit.movement, bar=edit.bar, beat=edit.beat)
    said = place.text
    return (
        f"{said}, {edit.section}" if edit.section and said else said or edit.section or "score"
    )


def _what(edit: EditTold) -> str:
    return f"{edit.kind}, {edit.why}" if edit.why else edit.kind


def _versions(edit: EditTold) -> Iterator[tuple[str, str]]:
    if edit.stands:
        stands = {edit.stands: ", which stands"}
        yield "the hand    ", (edit.hand or "nothing") + stands.get("hand", "")
        yield "the new one ", (edit.new or "nothing") + stands.get("new", "")
    else:
        yield "the hand    ", f"{edit.hand or 'nothing'}, before {edit.was or 'nothing'}"


def _carried(report: Regenerated, width: int) -> Iterator[str]:
    if not report.carried:
        return
    kinds = Counter(edit.kind for edit in report.carried)
    said = ", ".join(f"{kind} ({number})" for kind, number in kinds.most_common())
    yield from wrap_hanging(f"Carried: {said}", first="", rest="    ", width=width)
    few = report.carried if len(report.carried) <= _FEW + 1 else report.carried[:_FEW]
    rows = [
        (Place(bar=edit.bar).text, Place(beat=edit.beat).text, edit.section, _changed(edit))
        for edit in few
    ]
    yield from (f"  {row}" for row in align(rows))
    if len(few) < len(report.carried):
        yield f"  and {len(report.carried) - len(few)} more, all of them in --report"


def _changed(edit: EditTold) -> str:
    if edit.was and edit.hand and "yes" not in {edit.was, edit.hand}:
        return f"{edit.kind}: {edit.was}, now {edit.hand}"
    said = edit.hand if edit.hand not in {"", "yes"} else edit.was if edit.was != "yes" else ""
    kind = f"{edit.kind} {said}".strip()
    return kind if edit.hand else f"{kind}, taken out"


def _again(report: Regenerated, width: int) -> Iterator[str]:
    if not report.print_again:
        yield "To print again: nothing"
        return
    yield "To print again"
    rows = [(part.section, _bars_of(part), _reasons(part)) for part in report.print_again]
    yield from (f"  {row}" for row in align(rows))
    if report.stay:
        yield from wrap_hanging(
            f"{', '.join(report.stay)} stay as they are", first="  ", rest="      ", width=width
        )
    if report.pages_of:
        numbers = ", ".join(report.pages) or "none"
        pages = f"pages {numbers} of {report.pages_of}"
        yield from wrap_hanging(pages, first="  ", rest="      ", width=width)


def _bars_of(part: PartAgain) -> str:
    names = {bar.index: bar.bar for bar in part.bars}
    runs = bar_runs(sorted(names), names.__getitem__)
    one = len(runs) == 1 and "-" not in runs[0]
    return f"bar{'s' * (not one)} {', '.join(runs)}"


def _reasons(part: PartAgain) -> str:
    reasons = Counter(bar.reason for bar in part.bars)
    return ", ".join(_REASONS[reason] for reason, _ in reasons.most_common())
