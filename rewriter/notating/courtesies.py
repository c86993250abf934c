"""Courtesy accidentals where a line goes on in another octave, or another line goes on.

In the sketch a sign of the last bar, or of the other octave, is seen by whoever reads on. Where
players come to a border, what they have just read is another line, and a note that it altered
prints its own sign again. (Common practice, no source.)
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.sketch.listening import notes_in

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.notating.cuts import Place
    from rewriter.placing.strands import Plays, Run
    from rewriter.sketch.frame import Frame
    from rewriter.sketch.model import SketchPitch

_Line = tuple[str, int]
"""A letter in an octave."""


class _Read(NamedTuple):
    """A pitch that players read in a bar, on its line; how it is written counts, not sounds."""

    pitch: SketchPitch
    line: _Line
    where: Place
    onset: int


def reminders(
    runs: Sequence[Run], plays: Plays, frame: Frame
) -> dict[Place, set[tuple[str, int]]]:
    """The notes that print a courtesy sign, each with its letter and octave in the voice.

    Args:
        runs: of a strand; each begins at a border, and so does every change of its octave.
        plays: of the strand.
        frame: its keys count.
    """
    found: dict[Place, set[tuple[str, int]]] = {}
    for run in runs:
        for (bar, place), _ in run.level:
            border = notes_in(run.voice, bar)[place].onset
            altered = [*_altered(_read(plays, bar - 1), frame, bar - 1)] if bar else []
            if not (altered or border):
                continue
            here = list(_read(plays, bar))
            altered += _altered((one for one in here if one.onset < border), frame, bar)
            if not altered:
                continue
            known = {one.line for one in here if one.onset < border}
            for pitch, line, where, onset in here:
                if onset < border or line in known:
                    continue
                known.add(line)
                if any(step == pitch.step and alter != pitch.alter for step, alter in altered):
                    found.setdefault(where, set()).add((pitch.step, pitch.octave))
    return found


def _read(plays: Plays, bar: int) -> Iterator[_Read]:
    for play in plays[bar]:
        notes = zip(notes_in(play.voice, bar), play.per_note(bar), strict=True)
        for place, (note, octave) in enumerate(notes):
            for each in (note, *note.chord) if octave is not None else ():
                if each.pitch is not None and octave is not None:
                    line = (each.pitch.step, each.pitch.octave + octave)
                    yield _Read(each.pitch, line, (id(play.voice), bar, place), note.onset)


def _altered(read: Iterator[_Read], frame: Frame, bar: int) -> Iterator[tuple[str, float]]:
    """Letters that are not as the key has them, and what they are."""
    key = frame.bars[bar].alterations
    return ((p.step, p.alter) for p, *_ in read if p.alter != key[p.step])
