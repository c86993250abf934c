"""The lines of a score as a table: who, where, how well, how low and high."""

from collections.abc import Callable, Iterator, Sequence

from rewriter.placing.reasons import octaves_said
from rewriter.reporting.columns import (
    NAMED_BARS,
    UNBROKEN,
    align,
    shorten_bars,
    wrap_hanging,
)
from rewriter.reporting.results import Compass, LineResult, PassageResult

OCTAVE_WORDS = {2: "15ma", 1: "8va", 0: "loco", -1: "8vb", -2: "15mb"}


def lines_of(lines: list[LineResult], width: int) -> Iterator[str]:
    """A table with two rows for each line: where it goes, and how long it stays in what.

    What a line plays, where lines play different things, is the last column. Where that does
    not fit the width, it stands in the second row; and then how usual its place is.
    """
    if not lines:
        return
    played = [_plays(line) for line in lines]
    needed = {"Plays": len(set(played)) > 1, "Usual": any(map(usual, lines))}
    wanted = beside = [title for title in needed if needed[title]]
    table = _table(lines, width, beside)
    while beside and max(map(len, table)) > width:
        beside = beside[1:]
        table = _table(lines, width, beside)
    head, *rows = table
    margin = " " * head.index("Lowest")
    yield head
    for line, row, plays in zip(lines, rows, played, strict=True):
        yield row
        moved = {"Plays": plays, "Usual": usual(line) and f"usual {usual(line)}"}
        beneath = [moved[name] for name in wanted if name not in beside]
        said = ": ".join(each for each in (*beneath, registers(line, between=" · ")) if each)
        if said:
            yield from wrap_hanging(said, first=margin, rest=margin, width=width)


def registers(line: LineResult, between: str) -> str:
    """The registers a line stays in, and how long; empty for a line without a note."""
    return between.join(
        f"{each.register} {percent(each.time)}".replace(" ", UNBROKEN)
        for each in line.registers
        if line.notes
    )


def usual(line: LineResult) -> str:
    """How many of the repertory's tunes lie, and go, as high; empty where nobody knows."""
    if line.usual is None or not line.notes:
        return ""
    return f"{line.usual.as_high}%, {line.usual.up_to}%"


def _table(lines: list[LineResult], width: int, beside: Sequence[str]) -> list[str]:
    """Head and rows; fewer bars are named where the columns would not fit the width.

    Args:
        lines: of the report.
        width: columns of text there are.
        beside: which of the columns that may be missing are there.
    """
    columns = {
        title: cell
        for title, cell in COLUMNS.items()
        if title not in {"Plays", "Usual"} or title in beside
    }
    table: list[str] = []
    for named in range(NAMED_BARS, 0, -1):
        rows = [[cell(line, named) for cell in columns.values()] for line in lines]
        table = [f"  {row}" for row in align([list(columns), *rows], right=frozenset({1, 3}))]
        if max(map(len, table)) <= width:
            break
    return table


def name_of(line: LineResult) -> str:
    """Who plays: ``half Vc``."""
    return f"{line.share} {line.section}".strip()


def players(line: LineResult) -> str:
    """How many play; a half where a section does not divide evenly."""
    return f"{line.players:.1f}".removesuffix(".0")


def title_of(passage: PassageResult) -> str:
    """The layout's title; a bare stack has none of its own."""
    of_its_own = passage.layout not in {passage.stack, passage.stack_as_written}
    return passage.layout if of_its_own else ""


def strengths_said(passage: PassageResult) -> str:
    """How strong the tune is, and whether its octave would be another one without that."""
    times = [f"{each.strength} {percent(each.time)}" for each in passage.strengths]
    said = times if len(times) > 1 else [each.strength for each in passage.strengths]
    plain, now = passage.octave_as_plain, passage.lines[0].octave
    if plain is None or plain == now:
        return ", ".join(said)
    return f"{', '.join(said)}; without dynamics {octaves_said(plain - now)}"


def placed_by(passage: PassageResult) -> str:
    """By which registers the stack was placed, and what the others would do; empty for none."""
    if passage.octave_by_other is None:
        return ""
    other = "singing" if passage.placed_by == "measured" else "measured"
    distance = passage.octave_by_other - passage.lines[0].octave
    would = f"{octaves_said(distance)}" if distance else "in the same octave"
    return f"{passage.placed_by} registers; by {other} ones {would}"


def _plays(line: LineResult) -> str:
    by = f", {handed_over(line)}" if line.handed_over_by else ""
    return line.plays + by


def handed_over(line: LineResult) -> str:
    """Whose line it was; empty for one that was not handed over."""
    return f"handed over by {line.handed_over_by}" if line.handed_over_by else ""


def _compass(compass: Compass | None, named: int) -> str:
    if compass is None:
        return ""
    return f"{compass.pitch:<3} {shorten_bars(compass.bars, named, compass.movements)}"


COLUMNS: dict[str, Callable[[LineResult, int], str]] = {
    "Line": lambda line, _: name_of(line),
    "Players": lambda line, _: players(line),
    "Octave": lambda line, _: OCTAVE_WORDS.get(line.octave, f"octave {line.octave:+d}"),
    "Sings": lambda line, _: f"{line.sings:.2f}" if line.notes else "",
    "Usual": lambda line, _: usual(line),
    "Lowest": lambda line, named: _compass(line.lowest, named) if line.notes else "no note",
    "Highest": lambda line, named: _compass(line.highest, named),
    "Plays": lambda line, _: _plays(line),
}
"""Title → what stands under it for a line, when so many bars are named one by one.

*Plays* is left out where every line has the same in it, *Usual* where nothing is known.
"""


def percent(time: float) -> str:
    """Per cent of a whole, 0 to 1; what is there at all is never nothing, nor all what is not.

    >>> percent(0.824), percent(0.001), percent(0.999), percent(1)
    ('82%', 'under 1%', 'over 99%', '100%')
    """
    rounded = round(time * 100)
    if rounded == 0 and time > 0:
        return "under 1%"
    if rounded == 100 and time < 1:  # noqa: PLR2004 - per cent
        return "over 99%"
    return f"{rounded}%"
