"""Plain text within a width: wrapped paragraphs, aligned columns, shortened lists of bars."""

from collections.abc import Callable, Sequence
from itertools import groupby
from operator import itemgetter
from textwrap import wrap

NAMED_BARS = 3
"""How many bars are named one by one before the rest is only counted."""

UNBROKEN = "\N{NO-BREAK SPACE}"
"""Stands for a space where a line must not end; written as a space."""


def shorten_bars(
    bars: Sequence[str], named: int = NAMED_BARS, movements: Sequence[int] = ()
) -> str:
    """Printed bar numbers for people; of a long list the first are named, the rest counted.

    All are named where counting would not make it shorter.

    >>> shorten_bars(["3"]), shorten_bars(["3", "7"])
    ('bar 3', 'bars 3 and 7')
    >>> shorten_bars(["3", "7", "21", "22", "23", "30", "31"])
    'bars 3, 7, 21 and 4 more'

    Args:
        bars: printed numbers, in the order of the score.
        named: how many are named.
        movements: which each is in; empty where there is only one.
    """
    if movements:
        return _in_movements(bars, named, movements)
    if len(bars) <= 1:
        return f"bar {bars[0]}" if bars else ""
    whole = f"bars {', '.join(bars[:-1])} and {bars[-1]}"
    short = f"bars {', '.join(bars[:named])} and {len(bars) - named} more"
    return whole if len(bars) <= named or len(whole) <= len(short) else short


def _in_movements(bars: Sequence[str], named: int, movements: Sequence[int]) -> str:
    """Bars by movements: ``movement 1, bar 9; movement 2, bars 1 and 2``."""
    shown = bars if len(bars) <= named else bars[:named]
    groups = groupby(zip(movements, shown, strict=False), key=itemgetter(0))
    said = "; ".join(
        f"movement {movement}, {shorten_bars([bar for _, bar in found], named)}"
        for movement, found in groups
    )
    more = len(bars) - len(shown)
    return f"{said}, and {more} more" if more else said


def bar_runs(bars: Sequence[int], number: Callable[[int], str]) -> list[str]:
    """Bars as runs of printed numbers.

    >>> bar_runs([4, 5, 6, 9], lambda bar: str(bar + 1))
    ['5-7', '10']

    Args:
        bars: indexes, rising.
        number: the printed number of an index.
    """
    runs = []
    for _, run in groupby(enumerate(bars), key=lambda pair: pair[1] - pair[0]):
        places = [number(bar) for _, bar in run]
        runs.append(places[0] if len(places) == 1 else f"{places[0]}-{places[-1]}")
    return runs


def span_bars(bars: Sequence[str]) -> str:
    """First and last of some printed bar numbers, in the order of the score.

    >>> span_bars(["33", "34", "40"]), span_bars(["33", "33"])
    ('bars 33-40', 'bar 33')
    """
    named = [bar for bar in bars if bar]
    if not named:
        return ""
    return f"bar {named[0]}" if named[0] == named[-1] else f"bars {named[0]}-{named[-1]}"


def wrap_hanging(text: str, *, first: str, rest: str, width: int) -> list[str]:
    """Wrap a paragraph; the first line starts with ``first``, the others with ``rest``.

    Two spaces inside the text are kept, and no word is cut, so that a long file name can
    still be copied whole; nor does a line end at :data:`UNBROKEN`.
    """
    lines = wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [line.replace(UNBROKEN, " ") for line in lines] or [first.rstrip()]


def align(rows: Sequence[Sequence[str]], *, right: frozenset[int] = frozenset()) -> list[str]:
    """Columns two spaces apart, each as wide as its widest cell.

    Args:
        rows: cells by row; every row has as many.
        right: indexes of the columns that stand to the right, as figures do.
    """
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    return [
        "  ".join(
            cell.rjust(width) if index in right else cell.ljust(width)
            for index, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]


def count(number: int, one: str, many: str = "") -> str:
    """A number with its noun.

    >>> count(1, "bar"), count(2, "bar"), count(2, "advice", "advice")
    ('1 bar', '2 bars', '2 advice')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"
