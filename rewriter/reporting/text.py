"""The report as plain text, for somebody who reads it late and wants to go home."""

from collections.abc import Iterator, Sequence

from rewriter.problems import Finding
from rewriter.reporting.columns import UNBROKEN, count, shorten_bars, span_bars, wrap_hanging
from rewriter.reporting.results import Report
from rewriter.reporting.table import lines_of, placed_by, strengths_said, title_of

WIDTH = 96
"""Columns, where nobody says otherwise."""

LABEL = 14
"""Columns before the text of a labelled paragraph, margin included."""

NAMED_FINDINGS = 3
"""How many findings of one kind in one section are told one by one."""

SEVERITIES = {"error": "Errors", "warning": "Warnings", "advice": "Advice"}


def as_text(
    report: Report,
    written_to: str,
    width: int = WIDTH,
    *,
    done: str = "written",
    changed: Sequence[str] = (),
    copy: str = "",
) -> str:
    """Word a report.

    Args:
        report: what the expansion has to say.
        written_to: the file that was written, as the user may find it; empty when none was.
        width: columns; only a word longer than that goes beyond.
        done: what became of the file.
        changed: what is not as in the file that is replaced, a line each.
        copy: where a copy of the score as it was made is kept; empty for nowhere.

    Returns:
        Lines, each ended; no colour, and outside ASCII nothing but a middle dot and what
        the score's own names bring along.
    """
    blocks = [
        wrap_hanging(summarise(report, written_to, done), first="", rest="    ", width=width),
        list(_several("Changed", changed, width)),
        list(_where_it_stands(report, width)),
        *_played(report, width),
        [*_what_went_along(report, width), *_paragraph("Copy", copy, width)],
        *_findings(report.findings, width),
    ]
    return "\n".join("\n".join(block) + "\n" for block in blocks if block)


def summarise(report: Report, written_to: str, done: str = "written") -> str:
    """The first line: the file, its size and how many findings it has, worst first."""
    told = f"{written_to}: {done}" if written_to else f"{report.sketch}: expanded"
    sections = {line.section for line in report.lines} | set(report.tacet)
    size = f"{count(report.bars, 'bar')}, {count(len(sections), 'section')}"
    return f"{told}, {size}; {count_findings(report.findings)}"


def count_findings(findings: list[Finding]) -> str:
    """How many of each severity, worst first: ``2 warnings, 1 advice``."""
    numbers = {
        severity: sum(finding.severity == severity for finding in findings)
        for severity in SEVERITIES
    }
    said = [
        count(number, severity, "advice" if severity == "advice" else "")
        for severity, number in numbers.items()
        if number
    ]
    return ", ".join(said) or "no findings"


def _paragraph(label: str, text: str, width: int) -> list[str]:
    """A label in the margin and its text beside it; nothing without a text."""
    if not text:
        return []
    first = f"  {label}".ljust(LABEL)
    return wrap_hanging(text, first=first, rest=" " * LABEL, width=width)


def _where_it_stands(report: Report, width: int) -> Iterator[str]:
    """The tune that was read, and the stack with the reason for its octave."""
    yield from _paragraph("Tune", report.tune, width)
    yield from _paragraph("Ensemble", report.ensemble, width)
    yield from _paragraph("Plan", report.plan, width)
    yield from _paragraph("Key", _moved(report), width)
    if len(report.passages) == 1:
        passage = report.passages[0]
        yield from _paragraph("Layout", title_of(passage), width)
        yield from _paragraph("Stack", passage.stack, width)
        yield from _paragraph("Why", passage.why, width)
        yield from _paragraph("Runner-up", passage.runner_up, width)
        yield from _paragraph("Strength", strengths_said(passage), width)
        yield from _paragraph("Placed by", placed_by(passage), width)
    yield from _paragraph("Figures", _figures(report), width)


def _figures(report: Report) -> str:
    """What figures are of, where those of the reasons are not those of the lines."""
    if any(_is_changed(report, passage) for passage in range(len(report.passages))):
        return (
            "the reasons have those of the stack as placed, the lines those of what is written"
        )
    return ""


def _is_changed(report: Report, passage: int) -> bool:
    """True when a line is less, or more, fit than it was when the tool placed it."""
    placed = report.passages[passage]
    now = {
        (line.section, line.octave): line.sings
        for line in reversed(report.lines)
        if line.passage == passage and line.is_tune and not line.handed_over_by
    }
    return not placed.octave_named and any(
        f"{now.get((line.section, line.octave), line.sings):.2f}" != f"{line.sings:.2f}"
        for line in placed.lines
    )


def _moved(report: Report) -> str:
    """How far the whole cue is moved; nothing where it is not, or by passages."""
    first = report.passages[0]
    if len({passage.by for passage in report.passages}) != 1 or not first.by:
        return ""
    return f"{first.by}, beginning in {first.key}"


def _played(report: Report, width: int) -> Iterator[list[str]]:
    """All lines: in one table, or passage by passage."""
    if len(report.passages) > 1:
        from rewriter.reporting.passages import passages_of

        yield from passages_of(report, width)
    else:
        yield list(lines_of(report.lines, width))


def _what_went_along(report: Report, width: int) -> Iterator[str]:
    """What of the sketch is in the score and what is not, with numbers."""
    yield from _paragraph("Tacet", ", ".join(report.tacet), width)
    yield from _paragraph("Kept", _counted(report.kept), width)
    yield from _paragraph("Dropped", _counted(report.dropped), width)
    yield from _paragraph("Not played", "; ".join(report.not_played), width)
    yield from _several("Remarks", report.remarks, width)


def _several(label: str, texts: Sequence[str], width: int) -> Iterator[str]:
    """Paragraphs under one label."""
    for index, text in enumerate(texts):
        yield from _paragraph("" if index else label, text, width)


def _counted(kinds: dict[str, int]) -> str:
    said = (f"{kind} {number}" for kind, number in kinds.items() if number)
    return ", ".join(each.replace(" ", UNBROKEN) for each in said)


def _findings(findings: list[Finding], width: int) -> Iterator[list[str]]:
    """One block for each severity, worst first; inside it the order of the score stays."""
    for severity, heading in SEVERITIES.items():
        found = [finding for finding in findings if finding.severity == severity]
        if found:
            yield [f"{heading} ({len(found)})", *_same_severity(found, width)]


def _same_severity(found: list[Finding], width: int) -> Iterator[str]:
    """Findings of one kind in one section together, where the first of them stands."""
    kinds: dict[tuple[str, str], list[Finding]] = {}
    for finding in found:
        kinds.setdefault((finding.place.who, finding.rule), []).append(finding)
    for alike in kinds.values():
        told = len(alike) if len(alike) == NAMED_FINDINGS + 1 else NAMED_FINDINGS
        for finding in alike[:told]:
            yield from wrap_hanging(word(finding), first="  ", rest="      ", width=width)
        if left := alike[told:]:
            yield from wrap_hanging(_summary(left), first="  ", rest="      ", width=width)


def word(finding: Finding) -> str:
    """A finding as one sentence: ``PLACE: WHAT  [rule]``."""
    place = finding.place.text
    said = f"{place}: {finding.text}" if place else finding.text
    return f"{said}  [{finding.rule}]"


def _bars(movement: int, bars: list[str], *, every: bool) -> str:
    """Bars of one movement: each of them, or the first and the last."""
    where = shorten_bars(list(dict.fromkeys(bars)), len(bars)) if every else span_bars(bars)
    return f"movement {movement}, {where}" if movement else where


def _summary(left: list[Finding]) -> str:
    """What is not told one by one; of errors at least every bar is."""
    movements: dict[int, list[str]] = {}
    for finding in left:
        if finding.place.bar:
            movements.setdefault(finding.place.movement, []).append(finding.place.bar)
    every = left[0].severity == "error"
    where = "; ".join(
        _bars(movement, bars, every=every) for movement, bars in movements.items()
    )
    place = ", ".join(part for part in (left[0].place.who, where) if part)
    said = f"{place}: " if place else ""
    return f"{said}{len(left)} more like these; --report lists all  [{left[0].rule}]"
