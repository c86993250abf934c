"""Accidentals of a bar that is written note by note: keys that change in it, several voices."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.musicxml.accidentals import COURTESY, AccidentalState
from rewriter.sketch.model import Note

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.notating.repairs import Written
    from rewriter.sketch.frame import FrameBar


class BarSigns:
    """Gives the notes of one line in a bar their accidentals, in the order of time."""

    def __init__(self, bar: FrameBar, doubtful: Iterable[tuple[str, int]] = ()) -> None:
        """Begin a bar.

        Args:
            bar: its key counts, and keys that come within it.
            doubtful: see :func:`altered_differently`.
        """
        self._state = AccidentalState()
        self._state.change_key(bar.alterations)
        self._state.doubt(doubtful)
        self._keys = [(s.onset, s.alterations) for s in bar.signs if s.alterations is not None]

    def sign(self, note: Note, octave: int, onset: int) -> bytes:
        """The ``<accidental>`` of the next note, empty for none.

        A sign that the voice needs where it goes on, and this line does not, is no courtesy.

        Args:
            note: with a pitch or without; its sign is the voice's.
            octave: whole octaves it is moved by.
            onset: divisions from the start of the bar.
        """
        while self._keys and self._keys[0][0] <= onset:
            self._state.change_key(self._keys.pop(0)[1])
        pitch, shape = note.pitch, note.shape
        if pitch is None:
            return b""
        sign = self._state.sign(
            pitch.step, pitch.alter, pitch.octave + octave, shape.printed, tied=shape.stops_tie
        )
        needed_there = note.sign and COURTESY not in note.sign
        return b"" if needed_there and COURTESY in sign else sign


def altered_differently(lines: Sequence[Sequence[Written]]) -> set[tuple[str, int]]:
    """Letters in octaves that two voices of one staff alter differently within a bar.

    Each voice reads its own signs, so the first note of each there gets one, whatever the
    other voice has before it.
    """
    heard: dict[tuple[str, int], set[float]] = {}
    for line in lines:
        for item, octave in line:
            for each in (item, *item.chord) if isinstance(item, Note) else ():
                if each.pitch is not None:
                    place = (each.pitch.step, each.pitch.octave + octave)
                    heard.setdefault(place, set()).add(each.pitch.alter)
    return {place for place, alters in heard.items() if len(alters) > 1}
