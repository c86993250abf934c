"""Lines of one section that cross: somewhere a lower one sounds above the one over it."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import msgspec

from rewriter.sketch.listening import notes_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.lines import Line
    from rewriter.placing.strands import Play


class _Tone(msgspec.Struct, frozen=True):
    begin: int
    end: int
    midi: float


def lines_cross(lines: Sequence[Line]) -> bool:
    """True when somewhere a lower line sounds above the line over it, at the same time."""
    return any(
        _cross(_tones(above.plays[bar], bar), _tones(below.plays[bar], bar))
        for above, below in pairwise(lines)
        for bar in above.plays
        if bar in below.plays
    )


def _tones(play: Play, bar: int) -> list[_Tone]:
    return [
        _Tone(note.onset, note.onset + note.length, each.pitch.midi + 12 * octave)
        for note, octave in zip(notes_in(play.voice, bar), play.per_note(bar), strict=True)
        if octave is not None and note.length
        for each in (note, *note.chord)
        if each.pitch is not None
    ]


def _cross(above: Sequence[_Tone], below: Sequence[_Tone]) -> bool:
    return any(
        low.midi > high.midi and low.begin < high.end and high.begin < low.end
        for high in above
        for low in below
    )
