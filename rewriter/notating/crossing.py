"""Lines of one section that cross, so that one staff cannot hold them."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from rewriter.sketch.listening import notes_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.strands import Play, Plays


class _Tone(NamedTuple):
    begin: int
    end: int
    midi: float


def lines_cross(strands: Sequence[Plays]) -> bool:
    """True when somewhere a lower line sounds above the line over it, at the same time."""
    return any(
        _cross(_tones(above[bar], bar), _tones(below[bar], bar))
        for above, below in pairwise(strands)
        for bar in range(len(above))
        if above[bar] and below[bar]
    )


def _tones(plays: Sequence[Play], bar: int) -> list[_Tone]:
    return [
        _Tone(note.onset, note.onset + note.length, each.pitch.midi + 12 * octave)
        for play in plays
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
