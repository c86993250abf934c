"""How many doublings, and statements of the first violin's line, quartets have."""

from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

from rewriter.hearing.doublings import doublings_of
from rewriter.hearing.lines import Heard
from rewriter.hearing.statements import statements_in
from rewriter.hearing.tune_notes import notes_of_line
from rewriter.scores.reading import Reading
from rewriter.scores.score import read_score


class Counts(NamedTuple):
    """What was found in one movement, or in several.

    Attributes:
        bars: as written.
        doublings: of two lines.
        short: of these, whole phrases of fewer than six notes.
        returns: later statements.
    """

    bars: int
    doublings: int
    short: int
    returns: int

    def text(self) -> str:
        """In 100 bars."""
        doublings, short, returns = (100 * count / self.bars for count in self[1:])
        return (
            f"{self.bars} bars; in 100 bars {doublings:.1f} doublings, {short:.2f} of them "
            f"short phrases, and {returns:.1f} later statements"
        )


def counts(path: Path) -> Counts:
    """What is found in a movement."""
    heard = Heard(Reading(read_score(path)))
    divisions = heard.reading.divisions
    starts = [Fraction(start, divisions) for start in heard.bars.starts]
    doublings = doublings_of(heard)
    first = next(line for line in heard.lines if line.notes)
    statements = statements_in(notes_of_line(first, divisions), starts)
    return Counts(
        len(starts) - 1,
        len(doublings),
        sum(len(one.agreeing) < 6 for one in doublings),
        sum(len(tune) - 1 for tune in statements),
    )


def together(found: list[Counts]) -> Counts:
    """The counts of several movements."""
    return Counts(*map(sum, zip(*found, strict=True)))
