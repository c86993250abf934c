"""The passages of a plan for people: a block for each, all in the same columns."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from rewriter.reporting.columns import align, wrap_hanging
from rewriter.reporting.results import Compass, LineResult, PassageResult, Report
from rewriter.reporting.table import (
    OCTAVE_WORDS,
    handed_over,
    name_of,
    placed_by,
    players,
    registers,
    strengths_said,
    title_of,
    usual,
)

HEAD = ("Line", "Players", "Octave", "Sings", "Usual", "Compass")
PLAYS = "Plays"
END = "|"  # what keeps the blanks before it

NARROWEST_TIMES = 22
"""Columns that registers need beside a row; with fewer they stand under it."""


def passages_of(report: Report, width: int) -> Iterator[list[str]]:
    """The head of the columns, then a block for each passage.

    The bars and the stack stand first, since they are what is looked for; then the layout's
    title and, where the tool chose the octave, why. Where nothing of that has changed since
    the passage before, it is not said again.
    """
    table = _Table(report.lines, width)
    yield [table.head]
    everywhere = len({passage.by for passage in report.passages}) == 1
    names = [_bars(passage) for passage in report.passages]
    column = max(len(name) for name in names) + 2
    before: PassageResult | None = None
    of_passage = {
        place: list(lines)
        for place, lines in groupby(enumerate(report.lines), lambda each: each[1].passage)
    }
    for place, passage in enumerate(report.passages):
        rows = [row for index, _ in of_passage.get(place, ()) for row in table.rows[index]]
        said = [_headline(passage, with_key=not everywhere)]
        if before is not None and _goes_on(before, passage):
            said[0] += ", as before"
        else:
            said += _reasons(passage)
        yield [*_headed(names[place].ljust(column), said, width), *rows]
        before = passage


def _bars(passage: PassageResult) -> str:
    """Its bars as a heading; with several movements, in which."""
    first, _, last = passage.bars.partition("-")
    if passage.movement != passage.to_movement:
        return (
            f"Movement {passage.movement}, bar {first}, "
            f"to movement {passage.to_movement}, bar {last or first}"
        )
    said = f"{'bars' if last else 'bar'} {passage.bars}"
    return f"Movement {passage.movement}, {said}" if passage.movement else said.capitalize()


def _headline(passage: PassageResult, *, with_key: bool) -> str:
    """The stack; where in its bar it begins; the key where passages have their own."""
    said = [passage.stack]
    if passage.from_beat:
        said.append(f"from beat {passage.from_beat}")
    if with_key and passage.by:
        said.append(f"{passage.by} ({passage.key})")
    return ", ".join(said)


def _goes_on(before: PassageResult, passage: PassageResult) -> bool:
    """True when a passage is played just like the one before it."""
    return (before.layout, before.stack, before.why, before.by) == (
        passage.layout,
        passage.stack,
        passage.why,
        passage.by,
    )


def _reasons(passage: PassageResult) -> Iterator[str]:
    """The layout's title; where the tool chose the octave, why, and what came next."""
    if title := title_of(passage):
        yield title
    if not passage.octave_named:
        yield passage.why
    if passage.runner_up:
        yield f"runner-up {passage.runner_up}"
    if said := strengths_said(passage):
        yield f"strength {said}"
    if said := placed_by(passage):
        yield f"by {said}"


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
        """Lay out; where the columns do not fit, what it plays stands by the registers.

        Args:
            lines: of the whole report.
            width: columns there are.
        """
        times = [registers(line, between=", ") for line in lines]
        played = [_plays(line) for line in lines]
        cells = [(*_cells(line), said) for line, said in zip(lines, played, strict=True)]
        rows = _columns([(*HEAD, PLAYS if any(played) else ""), *cells])
        if any(played) and width - len(rows[0]) < NARROWEST_TIMES:
            rows = _columns([(*HEAD, ""), *((*cell[:-1], "") for cell in cells)])
            times = [
                ": ".join(part for part in parts if part)
                for parts in zip(played, times, strict=True)
            ]
        head, *bodies = rows
        beside = width - len(head) >= NARROWEST_TIMES
        self.head = f"{head}Registers" if beside else head.rstrip()
        indent = len(head) if beside else head.index("Octave")
        self.rows = [
            list(_row(body, said, indent, width, beside=beside))
            for body, said in zip(bodies, times, strict=True)
        ]


def _columns(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows in columns, each as wide as the others; a column with nothing in it is left out."""
    used = [at for at, cells in enumerate(zip(*rows, strict=True)) if any(cells)]
    ended = [[*(row[at] for at in used), END] for row in rows]
    return [f"  {row.removesuffix(END)}" for row in align(ended, right=frozenset({1, 3}))]


def _row(body: str, times: str, indent: int, width: int, *, beside: bool) -> Iterator[str]:
    margin = " " * indent
    if not times:
        yield body.rstrip()
    elif beside:
        yield from wrap_hanging(times, first=body, rest=margin, width=width)
    else:
        yield body.rstrip()
        yield from wrap_hanging(times, first=margin, rest=margin, width=width)


def _cells(line: LineResult) -> tuple[str, ...]:
    return (
        name_of(line),
        players(line),
        OCTAVE_WORDS.get(line.octave, f"octave {line.octave:+d}"),
        f"{line.sings:.2f}" if line.notes else "",
        usual(line),
        _compass(line.lowest, line.highest),
    )


def _compass(lowest: Compass | None, highest: Compass | None) -> str:
    if lowest is None or highest is None:
        return "no note"
    if lowest.pitch == highest.pitch:
        return lowest.pitch
    return f"{lowest.pitch} to {highest.pitch}"


def _plays(line: LineResult) -> str:
    """What a line plays where that is not the tune of its own."""
    plays = "" if line.is_tune else line.plays
    return ", ".join(each for each in (plays, handed_over(line)) if each)
