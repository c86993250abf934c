"""The passages of a plan for people: a block for each, all in the same columns."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from rewriter.reporting.columns import align, wrap_hanging
from rewriter.reporting.results import Compass, LineResult, PlacedStack, Report
from rewriter.reporting.table import OCTAVE_WORDS, name_of, players, registers, title_of

HEAD = ("Line", "Players", "Octave", "Fitness", "Compass")
CARRIES = "Carries"
END = "|"  # what keeps the blanks before it

NARROWEST_SHARES = 22
"""Columns that registers need beside a row; with fewer they stand under it."""


def passages_of(report: Report, width: int) -> Iterator[list[str]]:
    """The head of the columns, then a block for each passage.

    The bars and the stack stand first, since they are what is looked for; then the layout's
    title and, where the tool chose the octave, why. Where nothing of that has changed since
    the passage before, it is not said again.
    """
    table = _Table(report.lines, width)
    yield [table.head]
    everywhere = len({placed.moved for placed in report.placed}) == 1
    names = [_bars(placed) for placed in report.placed]
    column = max(len(name) for name in names) + 2
    before: PlacedStack | None = None
    of_passage = {
        place: list(lines)
        for place, lines in groupby(enumerate(report.lines), lambda each: each[1].passage)
    }
    for place, placed in enumerate(report.placed):
        rows = [row for index, _ in of_passage.get(place, ()) for row in table.rows[index]]
        said = [_headline(placed, with_key=not everywhere)]
        if before is not None and _goes_on(before, placed):
            said[0] += ", as before"
        else:
            said += _reasons(placed)
        yield [*_headed(names[place].ljust(column), said, width), *rows]
        before = placed


def _bars(placed: PlacedStack) -> str:
    return f"{'Bars' if '-' in placed.bars else 'Bar'} {placed.bars}"


def _headline(placed: PlacedStack, *, with_key: bool) -> str:
    """The stack; where in its bar it begins; the key where passages have their own."""
    said = [placed.stack]
    if placed.from_beat:
        said.append(f"from beat {placed.from_beat}")
    if with_key and placed.moved:
        said.append(f"{placed.moved} ({placed.key})")
    return ", ".join(said)


def _goes_on(before: PlacedStack, placed: PlacedStack) -> bool:
    """True when a passage is played just like the one before it."""
    return (before.layout, before.stack, before.why, before.moved) == (
        placed.layout,
        placed.stack,
        placed.why,
        placed.moved,
    )


def _reasons(placed: PlacedStack) -> Iterator[str]:
    """The layout's title; where the tool chose the octave, why, and what came next."""
    if title := title_of(placed):
        yield title
    if not placed.anchored:
        yield placed.why
    if placed.runner_up:
        yield f"runner-up {placed.runner_up}"


def _headed(label: str, paragraphs: Sequence[str], width: int) -> Iterator[str]:
    margin = " " * len(label)
    for index, text in enumerate(paragraphs):
        yield from wrap_hanging(
            text, first=margin if index else label, rest=margin, width=width
        )


class _Table:
    """Rows of all lines of a report, in columns as wide as any of them needs.

    Attributes:
        head: titles of the columns.
        rows: for each line of the report one row or more.
    """

    def __init__(self, lines: Sequence[LineResult], width: int) -> None:
        """Lay out; where the columns do not fit, what is carried stands by the registers.

        Args:
            lines: of the whole report.
            width: columns there are.
        """
        shares = [registers(line, between=", ") for line in lines]
        carried = [_carries(line) for line in lines]
        cells = [(*_cells(line), said) for line, said in zip(lines, carried, strict=True)]
        rows = _columns([(*HEAD, CARRIES if any(carried) else ""), *cells])
        if any(carried) and width - len(rows[0]) < NARROWEST_SHARES:
            rows = _columns([(*HEAD, ""), *((*cell[:-1], "") for cell in cells)])
            shares = [
                ": ".join(part for part in parts if part)
                for parts in zip(carried, shares, strict=True)
            ]
        head, *bodies = rows
        beside = width - len(head) >= NARROWEST_SHARES
        self.head = f"{head}Registers" if beside else head.rstrip()
        indent = len(head) if beside else head.index("Octave")
        self.rows = [
            list(_row(body, said, indent, width, beside=beside))
            for body, said in zip(bodies, shares, strict=True)
        ]


def _columns(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows in columns, each as wide as the others; a column with nothing in it is left out."""
    used = [at for at, cells in enumerate(zip(*rows, strict=True)) if any(cells)]
    ended = [[*(row[at] for at in used), END] for row in rows]
    return [f"  {row.removesuffix(END)}" for row in align(ended, right=frozenset({1, 3}))]


def _row(body: str, shares: str, indent: int, width: int, *, beside: bool) -> Iterator[str]:
    margin = " " * indent
    if not shares:
        yield body.rstrip()
    elif beside:
        yield from wrap_hanging(shares, first=body, rest=margin, width=width)
    else:
        yield body.rstrip()
        yield from wrap_hanging(shares, first=margin, rest=margin, width=width)


def _cells(line: LineResult) -> tuple[str, ...]:
    return (
        name_of(line),
        players(line),
        OCTAVE_WORDS.get(line.octave, f"octave {line.octave:+d}"),
        f"{line.fitness:.2f}" if line.notes else "",
        _compass(line.lowest, line.highest),
    )


def _compass(lowest: Compass | None, highest: Compass | None) -> str:
    if lowest is None or highest is None:
        return "no note"
    if lowest.pitch == highest.pitch:
        return lowest.pitch
    return f"{lowest.pitch} to {highest.pitch}"


def _carries(line: LineResult) -> str:
    """What a line carries besides the tune of its own."""
    source = "" if line.is_tune else line.source
    taken = f"taken from {line.taken_from}" if line.taken_from else ""
    return ", ".join(part for part in (source, taken) if part)
