"""The lines of a score as a table: who, where, how well, how low and high."""

from collections.abc import Callable, Iterator

from rewriter.reporting.columns import (
    NAMED_BARS,
    UNBROKEN,
    align,
    shorten_bars,
    wrap_hanging,
)
from rewriter.reporting.results import Compass, LineResult

OCTAVE_WORDS = {2: "15ma", 1: "8va", 0: "loco", -1: "8vb", -2: "15mb"}


def lines_of(lines: list[LineResult], width: int) -> Iterator[str]:
    """A table with two rows for each line: where it goes, and how long it stays in what."""
    if not lines:
        return
    head, *rows = table_of(lines, width)
    yield head
    for line, row in zip(lines, rows, strict=True):
        yield row
        yield from shares_of(line, head.index("Lowest"), width)


def shares_of(line: LineResult, indent: int, width: int) -> Iterator[str]:
    """How long a line stays in each register."""
    shares = " · ".join(
        f"{part.register} {percent(part.share)}".replace(" ", UNBROKEN)
        for part in line.registers
        if line.notes
    )
    if shares:
        margin = " " * indent
        yield from wrap_hanging(shares, first=margin, rest=margin, width=width)


def table_of(lines: list[LineResult], width: int) -> list[str]:
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
}
"""Title → what stands under it for a line, when so many bars are named one by one."""

ONLY_WHERE_DIFFERENT = {"Carries"}
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
