"""The report as plain text, for somebody who reads it late and wants to go home."""

from collections.abc import Callable, Iterator

from rewriter.problems import Finding
from rewriter.reporting.columns import (
    NAMED_BARS,
    UNBROKEN,
    align,
    count,
    shorten_bars,
    span_bars,
    wrap_hanging,
)
from rewriter.reporting.results import Compass, LineResult, PlacedStack, Report

WIDTH = 96
"""Columns, where nobody says otherwise."""

LABEL = 14
"""Columns before the text of a labelled paragraph, margin included."""

NAMED_FINDINGS = 3
"""How many findings of one kind in one section are told one by one."""

OCTAVE_WORDS = {2: "15ma", 1: "8va", 0: "loco", -1: "8vb", -2: "15mb"}

SEVERITIES = {"error": "Errors", "warning": "Warnings", "advice": "Advice"}


def as_text(report: Report, written_to: str, width: int = WIDTH) -> str:
    """Word a report.

    Args:
        report: what the expansion has to say.
        written_to: the file that was written, as the user may find it; empty when none was.
        width: columns; only a word longer than that goes beyond.

    Returns:
        Lines, each ended; no colour, and outside ASCII nothing but a middle dot and what
        the score's own names bring along.
    """
    blocks = [
        wrap_hanging(summarise(report, written_to), first="", rest="    ", width=width),
        list(_where_it_stands(report, width)),
        list(_lines(report.lines, width)),
        list(_what_went_along(report, width)),
        *_findings(report.findings, width),
    ]
    return "\n".join("\n".join(block) + "\n" for block in blocks if block)


def summarise(report: Report, written_to: str) -> str:
    """The first line: the file, its size and how many findings it has, worst first."""
    done = f"{written_to}: written" if written_to else f"{report.sketch}: expanded"
    sections = {line.section for line in report.lines} | set(report.resting)
    size = f"{count(report.bars, 'bar')}, {count(len(sections), 'section')}"
    return f"{done}, {size}; {count_findings(report.findings)}"


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
    """The tune that was read, and each stack with the reason for its octave."""
    yield from _paragraph("Tune", report.tune, width)
    yield from _paragraph("Ensemble", report.ensemble, width)
    for placed in report.placed:
        yield from _stack(placed, width, with_bars=len(report.placed) > 1)


def _stack(placed: PlacedStack, width: int, *, with_bars: bool) -> Iterator[str]:
    title = placed.layout if placed.layout != placed.stack else ""
    bars = f"bars {placed.bars}" if with_bars else ""
    named = ", ".join(part for part in (bars, title) if part)
    yield from _paragraph("Layout", named, width)
    yield from _paragraph("Stack", placed.stack, width)
    yield from _paragraph("Why", placed.why, width)
    yield from _paragraph("Runner-up", placed.runner_up, width)


def _lines(lines: list[LineResult], width: int) -> Iterator[str]:
    """A table with two rows for each line: where it goes, and how long it stays in what."""
    if not lines:
        return
    head, *rows = _table(lines, width)
    indent = " " * head.index("Lowest")
    yield head
    for line, row in zip(lines, rows, strict=True):
        yield row
        shares = " · ".join(
            f"{part.register} {percent(part.share)}".replace(" ", UNBROKEN)
            for part in line.registers
            if line.notes
        )
        if shares:
            yield from wrap_hanging(shares, first=indent, rest=indent, width=width)


def _table(lines: list[LineResult], width: int) -> list[str]:
    """Head and rows; fewer bars are named where the columns would not fit the width."""
    columns = [
        (title, cell)
        for title, cell in COLUMNS.items()
        if title not in ONLY_WHERE_DIFFERENT or len({cell(line, 1) for line in lines}) > 1
    ]
    table: list[str] = []
    for named in range(NAMED_BARS, 0, -1):
        rows = [[cell(line, named) for _, cell in columns] for line in lines]
        head = [title for title, _ in columns]
        table = [f"  {row}" for row in align([head, *rows], right=frozenset({1, 3}))]
        if max(map(len, table)) <= width:
            break
    return table


def _compass(compass: Compass | None, named: int) -> str:
    if compass is None:
        return ""
    return f"{compass.pitch:<3} {shorten_bars(compass.bars, named)}"


COLUMNS: dict[str, Callable[[LineResult, int], str]] = {
    "Line": lambda line, _: f"{line.share} {line.section}".strip(),
    "Players": lambda line, _: f"{line.strength:.1f}".removesuffix(".0"),
    "Octave": lambda line, _: OCTAVE_WORDS.get(line.octave, f"octave {line.octave:+d}"),
    "Fitness": lambda line, _: f"{line.fitness:.2f}" if line.notes else "",
    "Lowest": lambda line, named: _compass(line.lowest, named) if line.notes else "no note",
    "Highest": lambda line, named: _compass(line.highest, named),
    "Carries": lambda line, _: line.source,
    "Bars": lambda line, _: line.bars,
}
"""Title → what stands under it for a line, when so many bars are named one by one."""

ONLY_WHERE_DIFFERENT = {"Carries", "Bars"}
"""Columns left out where every line has the same in them."""


def percent(share: float) -> str:
    """A share of time; what is there at all is never called nothing, nor all what is not.

    >>> percent(0.824), percent(0.001), percent(0.999), percent(1)
    ('82%', 'under 1%', 'over 99%', '100%')
    """
    rounded = round(share * 100)
    if rounded == 0 and share > 0:
        return "under 1%"
    if rounded == 100 and share < 1:  # noqa: PLR2004 - per cent
        return "over 99%"
    return f"{rounded}%"


def _what_went_along(report: Report, width: int) -> Iterator[str]:
    """What of the sketch is in the score and what is not, with numbers."""
    yield from _paragraph("Resting", ", ".join(report.resting), width)
    yield from _paragraph("Carried", _counted(report.carried), width)
    yield from _paragraph("Dropped", _counted(report.dropped), width)
    yield from _paragraph("Not carried", "; ".join(report.not_carried), width)
    for index, note in enumerate(report.notes):
        yield from _paragraph("" if index else "Notes", note, width)


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
        kinds.setdefault((finding.section, finding.rule), []).append(finding)
    for alike in kinds.values():
        told = len(alike) if len(alike) == NAMED_FINDINGS + 1 else NAMED_FINDINGS
        for finding in alike[:told]:
            yield from wrap_hanging(word(finding), first="  ", rest="      ", width=width)
        if left := alike[told:]:
            yield from wrap_hanging(_summary(left), first="  ", rest="      ", width=width)


def word(finding: Finding) -> str:
    """A finding as one sentence: ``PLACE: WHAT  [rule]``."""
    said = f"{finding.place}: {finding.text}" if finding.place else finding.text
    return f"{said}  [{finding.rule}]"


def _summary(left: list[Finding]) -> str:
    place = ", ".join(
        part for part in (left[0].section, span_bars([finding.bar for finding in left])) if part
    )
    said = f"{place}: " if place else ""
    return f"{said}{len(left)} more like these; --report lists all  [{left[0].rule}]"
