"""Lines that play on while the others hold under a fermata."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING

from rewriter.placing.facts import MovesOn

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.placing.lines import Line
    from rewriter.sketch.frame import Frame


def moving_on(lines: Sequence[Line], frame: Frame) -> Iterator[MovesOn]:
    """For each fermata, the first note that each line begins while it lasts.

    Args:
        lines: of a passage.
        frame: its pauses count.
    """
    for bar, framed in enumerate(frame.bars):
        for pause in framed.pauses:
            for line in lines:
                begins = line.voice.timeline.starts[bar]
                after, until = begins + pause.onset, begins + pause.until
                first = bisect_left(line.soundings, bar, key=lambda sounding: sounding.bar)
                for at in range(first, len(line.soundings)):
                    note = line.soundings[at]
                    if note.start >= until:
                        break
                    if note.start > after and note.length > 0:
                        midi = note.midi + 12 * line.octave
                        yield MovesOn(line.player, note._replace(midi=midi))
                        break
