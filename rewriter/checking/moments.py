"""What sounds together on a staff of a part, whatever voices it is written in."""

from __future__ import annotations

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

    def sounds(self, bar: int, staff: str) -> Iterator[Sounds]:
        """What sounds in a bar, anew whenever a note begins.

        Args:
            bar: index.
            staff: counted from the top, as text.
        """
        notes = self.notes(bar, staff)
        for time in sorted({note.time for note in notes}):
            yield Sounds(time, tuple(one for one in notes if one.time <= time < one.end))
