"""What was found in a finished score as plain text, bar by bar."""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby
from typing import TYPE_CHECKING

from rewriter.checking.worded import NOT_MENDED
from rewriter.problems import beat_text
from rewriter.reporting.checked import ORDER
from rewriter.reporting.columns import count, wrap_hanging

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.reporting.checked import Checked, Flaw


def checked_as_text(checked: Checked, width: int) -> str:
    """Word what was found.

    Args:
        checked: the score.
        width: columns; only a word longer than that goes beyond.

    Returns:
        Lines, each ended.
    """
    lines = list(_head(checked, width))
    for (movement, bar), flaws in groupby(checked.findings, key=bar_of):
        lines += ["", bar_text(movement, bar)]
        for one in flaws:
            lines += wrap_hanging(said_flaw(one), first="  ", rest="      ", width=width)
    return "\n".join(lines) + "\n"


def _head(checked: Checked, width: int) -> Iterator[str]:
    counted = count_flaws(checked.findings)
    if checked.known:
        counted += f", and {checked.known} known before"
    said = f"{checked.score}: {count(checked.bars, 'bar')}; {counted}"
    yield from wrap_hanging(said, first="", rest="    ", width=width)
    yield from said_taken(checked.taken_text, checked.tune, width)


def said_taken(taken: str, tune: str, width: int) -> Iterator[str]:
    """What was taken for which section, and where the tune is if somebody has told."""
    yield from wrap_hanging(taken, first="  Sections  ", rest=" " * 12, width=width)
    if tune:
        yield from wrap_hanging(tune, first="  Tune      ", rest=" " * 12, width=width)


def count_flaws(flaws: Sequence[Flaw]) -> str:
    """How many of each severity, worst first: ``2 warnings, 1 advice``."""
    numbers = {severity: sum(one.severity == severity for one in flaws) for severity in ORDER}
    said = [
        count(number, severity, "advice" if severity == "advice" else "")
        for severity, number in numbers.items()
        if number
    ]
    return ", ".join(said) or "no findings"


def bar_of(one: Flaw) -> tuple[int, str]:
    """Under which heading a finding stands: its movement, and its bar as printed."""
    return one.movement, one.bar


def bar_text(movement: int, bar: str) -> str:
    """A heading."""
    if not bar:
        return "The whole score"
    return f"Movement {movement}, bar {bar}" if movement else f"Bar {bar}"


def said_flaw(one: Flaw) -> str:
    """``error: Vn I, beat 2: WHAT  [rule]  mend: HOW``."""
    beat = f"beat {beat_text(Fraction(one.beat))}" if one.beat else ""
    where = ", ".join(part for part in (one.section, beat) if part)
    place = f"{where}: " if where else ""
    return f"{one.severity}: {place}{one.message}{_mend(one)}  [{one.rule}]"


def _mend(one: Flaw) -> str:
    """What has become of it; what only could be done, its message says already."""
    if not one.mend:
        return ""
    if one.mended:
        return f" - mended: {one.mend}"
    return f" - {one.mend}" if one.mend.startswith(NOT_MENDED) else ""
