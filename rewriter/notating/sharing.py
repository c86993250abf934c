"""Which lines of a section share a staff, and which need one of their own.

Two lines need a staff each where they cross, where one is the tune and the other accompanies it
in another rhythm, and where they lie further apart than a staff can take; three rhythms are too
many for one: one rhythm on shared stems, different rhythms without crossing on one staff, very
different or crossing ones on two (common practice, no source).
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.notating.clefs import leger_lines
from rewriter.notating.crossing import lines_cross
from rewriter.notating.divided import stemmed_bars
from rewriter.notating.ottava import reads_down

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.placing.lines import Line
    from rewriter.placing.strands import Plays
    from rewriter.rulefiles.ensembles import ClefUse, Section
    from rewriter.sketch.model import Voice

_MOST_LEGER_LINES: Final = 4
"""Two lines share a staff as long as, for most of the time they sound together, one clef reads
both with so many leger lines above and below it in all (common practice, no source)."""


_MOST_RHYTHMS: Final = 2
"""Stems point up or down (common practice, no source)."""


class OnStaves(NamedTuple):
    """The lines of a section in a passage, from the top, by the staff they stand on.

    Attributes:
        upper: all of them where one staff holds them.
        lower: those that need a second.
    """

    upper: Sequence[Line]
    lower: Sequence[Line] = ()


def on_staves(section: Section, lines: Sequence[Line], tune: Voice) -> OnStaves:
    """Share out the lines of a section to one staff or two.

    Args:
        section: who plays them.
        lines: of a passage, the highest first.
        tune: lines that carry it sing, the others accompany.
    """
    if _share(section, lines, tune):
        return OnStaves(lines)
    places = range(1, len(lines))
    fitting = [
        at
        for at in places
        if _share(section, lines[:at], tune) and _share(section, lines[at:], tune)
    ]
    between_roles = [at for at in fitting or places if _is_border(lines, at, tune)]
    at = next(iter(between_roles or fitting or places))
    return OnStaves(lines[:at], lines[at:])


def _share(section: Section, lines: Sequence[Line], tune: Voice) -> bool:
    """True when one staff holds the lines."""
    return len(lines) < 2 or not (  # noqa: PLR2004 - one line has its staff to itself
        lines_cross(lines)
        or (len({line.voice is tune for line in lines}) > 1 and not _move_together(lines))
        or _far_apart(section, lines[0], lines[-1])
        or _rhythms(lines) > _MOST_RHYTHMS
    )


def _is_border(lines: Sequence[Line], at: int, tune: Voice) -> bool:
    """True when the tune lies on one side and what accompanies it on the other."""
    return (lines[at - 1].voice is tune) != (lines[at].voice is tune)


def _rhythms(lines: Sequence[Line]) -> int:
    """How many of the lines move otherwise than those over them."""
    if len(lines) <= _MOST_RHYTHMS:
        return len(lines)
    different: list[Line] = []
    for line in lines:
        if not any(_move_together([other, line]) for other in different):
            different.append(line)
    return len(different)


def _move_together(lines: Sequence[Line]) -> bool:
    """True when one stem holds them wherever they sound at the same time."""
    bars = {bar for line in lines for bar in line.plays}
    strands: list[Plays] = [[()] * (max(bars, default=-1) + 1) for _ in lines]
    for strand, line in zip(strands, lines, strict=True):
        for bar, play in line.plays.items():
            strand[bar] = (play,)
    stemmed = stemmed_bars(strands)
    sounding = [{bar for bar, play in line.plays.items() if not play.silent} for line in lines]
    return all(
        sum(bar in its for its in sounding) < 2 or bar in stemmed  # noqa: PLR2004 - alone
        for bar in bars
    )


def _far_apart(section: Section, upper: Line, lower: Line) -> bool:
    """True when for most of the time they sound together no staff takes both, but two would."""
    balance = 0
    written = 12 * section.written_octave
    for high, low, length in _at_once(upper, lower):
        high, low = high + written, low + written  # noqa: PLW2901 - as they are written
        together = _readable(section, high, low)
        apart = _readable(section, high, high) and _readable(section, low, low)
        balance += length if apart and not together else -length
    return balance > 0


def _at_once(upper: Line, lower: Line) -> Iterator[tuple[float, float, int]]:
    """What two lines sound at the same time: sounding MIDI numbers, divisions."""
    waiting = 0
    below = lower.soundings
    for high in upper.soundings:
        while waiting < len(below) and below[waiting].end <= high.start:
            waiting += 1
        for at in range(waiting, len(below)):
            low = below[at]
            if low.start >= high.end:
                break
            length = min(high.end, low.end) - max(high.start, low.start)
            if length > 0:
                yield high.midi + 12 * upper.octave, low.midi + 12 * lower.octave, length


def _readable(section: Section, high: float, low: float) -> bool:
    """True when some clef, or 8va in the highest, reads two written pitches well."""
    if any(_reads(clef, high, low) for clef in section.clefs):
        return True
    if section.ottava_beyond_leger_lines is None:
        return False
    highest = section.clefs[-1]
    return reads_down(low, highest) and _reads(highest, high - 12, low - 12)


@cache
def _reads(clef: ClefUse, high: float, low: float) -> bool:
    above, below = leger_lines(high, clef), leger_lines(low, clef)
    return max(above, 0) - min(below, 0) <= _MOST_LEGER_LINES
