"""From what was placed and written to the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.placing.fitness import profile, register_shares
from rewriter.reporting.results import Compass, LineResult, RegisterShare

if TYPE_CHECKING:
    from collections.abc import Callable

    from rewriter.placing.lines import Line
    from rewriter.sketch.model import Frame, Sounding

    NameOf = Callable[[Sounding, int], str]


def line_result(
    line: Line, frame: Frame, source: str, bars: str, name_of: NameOf
) -> LineResult:
    """What the report says of a line.

    Args:
        line: as it was placed.
        frame: for printed bar numbers.
        source: what it carries.
        bars: printed numbers of its first and last bar.
        name_of: the spelled name of a note, some octaves away.
    """
    lengths = profile(line.soundings)
    shares = register_shares(line.section, lengths, line.octave)
    return LineResult(
        section=line.section.key,
        share=line.share.text,
        strength=line.strength,
        octave=line.octave,
        level=line.level,
        source=source,
        bars=bars,
        fitness=line.fitness,
        lowest=_compass(line, min(lengths, default=None), frame, name_of),
        highest=_compass(line, max(lengths, default=None), frame, name_of),
        registers=[RegisterShare(name, share) for name, share in shares],
        notes=len(line.soundings),
    )


def _compass(line: Line, midi: float | None, frame: Frame, name_of: NameOf) -> Compass | None:
    if midi is None:
        return None
    found = [sounding for sounding in line.soundings if sounding.midi == midi]
    bars = dict.fromkeys(frame.bars[sounding.bar].number for sounding in found)
    return Compass(name_of(found[0], line.octave), midi + 12 * line.octave, list(bars))
