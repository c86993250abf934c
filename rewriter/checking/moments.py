"""What sounds together on a staff of a part, whatever voices it is written in."""

from __future__ import annotations

from bisect import bisect_left
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.scores.voices import VoiceNote


class Sounds(NamedTuple):
    """What sounds from a moment until something else begins.

    Attributes:
        time: divisions from the start of the piece.
        notes: that sound, at least one; in the order in which they began.
    """

    time: int
    notes: tuple[VoiceNote, ...]

    @property
    def voices(self) -> set[str]:
        """Names of the voices they are in."""
        return {note.form.voice for note in self.notes}


class Moments:
    """The notes of a part by bars; no grace, cue or hidden notes."""

    def __init__(self, score: Finished, part: int) -> None:
        """Sort the notes of a part.

        Args:
            score: it is in.
            part: index in score order.
        """
        self._bars: dict[tuple[int, str], list[VoiceNote]] = {}
        self._rests: dict[tuple[int, str], set[str]] = {}
        for voice in score.voices(part):
            for note in voice.notes:
                form = note.form
                if form.hidden or form.cue or note.length == 0:
                    continue
                if note.sounding is not None:
                    self._bars.setdefault((note.bar, form.staff), []).append(note)
                elif form.kind == "rest":
                    self._rests.setdefault((note.bar, form.staff), set()).add(form.voice)

    def of_voices(self) -> Iterator[tuple[int, str]]:
        """Bars, by index, and staves on which several voices have notes, in their order."""
        for (bar, staff), notes in sorted(self._bars.items()):
            first = notes[0].form.voice
            if any(note.form.voice != first for note in notes):
                yield bar, staff

    def one_voice(self, bar: int, staff: str) -> bool:
        """True where no second voice has a note or a printed rest.

        Args:
            bar: index.
            staff: counted from the top, as text.
        """
        voices = {note.form.voice for note in self.notes(bar, staff)}
        return len(voices | self._rests.get((bar, staff), set())) < 2  # noqa: PLR2004

    def notes(self, bar: int, staff: str) -> Sequence[VoiceNote]:
        """The notes that begin in a bar, voice by voice.

        Args:
            bar: index.
            staff: counted from the top, as text.
        """
        return self._bars.get((bar, staff), ())

    def around(self, time: int, staff: str = "") -> tuple[VoiceNote | None, VoiceNote | None]:
        """The last note before words that stand at a moment, and the first they hold for.

        Words within a note are for the one whose beginning is nearer. None for no note.

        Args:
            time: divisions from the start of the piece.
            staff: counted from the top, as text; empty for all.
        """
        notes = self._in_time
        if staff:
            notes = [note for note in notes if note.form.staff == staff]
        place = bisect_left(notes, time, key=lambda note: note.time)
        if 0 < place < len(notes) and time < notes[place - 1].end:
            begun = notes[place - 1].time
            if time - begun < notes[place].time - time:
                place = bisect_left(notes, begun, key=lambda note: note.time)
        before, behind = notes[:place][-1:], notes[place : place + 1]
        return before[0] if before else None, behind[0] if behind else None

    @cached_property
    def _in_time(self) -> list[VoiceNote]:
        every = (note for notes in self._bars.values() for note in notes)
        return sorted(every, key=lambda note: (note.time, note.end))

    def within(self, start: int, stop: int, staff: str = "") -> Iterator[VoiceNote]:
        """Notes that begin between two moments, in the order of time.

        Args:
            start: divisions from the start of the piece; what begins there counts.
            stop: likewise; what begins there does not.
            staff: counted from the top, as text; empty for all.
        """
        notes = self._in_time
        place = bisect_left(notes, start, key=lambda note: note.time)
        for at in range(place, len(notes)):
            if notes[at].time >= stop:
                break
            if not staff or notes[at].form.staff == staff:
                yield notes[at]

    def sounds(self, bar: int, staff: str) -> Iterator[Sounds]:
        """What sounds in a bar, anew whenever a note begins.

        Args:
            bar: index.
            staff: counted from the top, as text.
        """
        notes = self.notes(bar, staff)
        for time in sorted({note.time for note in notes}):
            yield Sounds(time, tuple(one for one in notes if one.time <= time < one.end))
