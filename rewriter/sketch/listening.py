"""What sounds in a stretch of a voice, and which of its notes that is."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import TYPE_CHECKING

from rewriter.sketch.model import Note, Sounding, Voice
from rewriter.sketch.voices import Listener

if TYPE_CHECKING:
    from collections.abc import Sequence


class Heard:
    """A voice with its notes counted, so that what sounds can be found among them.

    Attributes:
        voice: the voice.
    """

    def __init__(self, voice: Voice) -> None:
        self.voice = voice
        self._starts: list[int] = []

    @property
    def starts(self) -> list[int]:
        """How many notes stand before each bar; one entry more than there are bars."""
        if not self._starts:
            total = 0
            for bar in self.voice.bars:
                self._starts.append(total)
                total += sum(isinstance(item, Note) for item in bar.items)
            self._starts.append(total)
        return self._starts

    def where(self, index: int) -> tuple[int, int]:
        """Bar and place of a note counted from the beginning of the voice."""
        bar = bisect_right(self.starts, index) - 1
        return bar, index - self.starts[bar]

    def notes_of(
        self, soundings: Sequence[Sounding], first: int, last: int
    ) -> list[tuple[int, int]]:
        """Every note from one sounding to another, as (bar, place): ties and rests included.

        Args:
            soundings: of this voice, in order.
            first: position among them.
            last: position among them, inclusive.
        """
        begin = soundings[first].index
        end = self._end_of(soundings, last)
        return [self.where(index) for index in range(begin, end)]

    def _end_of(self, soundings: Sequence[Sounding], last: int) -> int:
        """The count of notes up to the end of a sounding, its tied notes included."""
        sounding = soundings[last]
        if last + 1 < len(soundings):
            return max(soundings[last + 1].index, sounding.index + 1)
        left = sounding.length
        index = sounding.index
        while index < self.starts[-1]:
            bar, place = self.where(index)
            note = self._notes(bar)[place]
            left -= note.length
            index += 1
            if left <= 0:
                break
        return index

    def _notes(self, bar: int) -> list[Note]:
        return [item for item in self.voice.bars[bar].items if isinstance(item, Note)]

    def between(self, start: tuple[int, int], stop: tuple[int, int]) -> list[Sounding]:
        """What sounds from one moment to another; a note tied over the first begins there.

        Args:
            start: bar, divisions from its start.
            stop: likewise, not included.
        """
        known = self.voice.soundings
        first = bisect_left(known, start, key=lambda s: (s.bar, s.onset))
        last = bisect_left(known, stop, key=lambda s: (s.bar, s.onset))
        if not self._tied_into(start) and not self._tied_into(stop):
            return known[first:last]
        listener = Listener()
        listener.count = self.starts[start[0]]
        for bar in range(start[0], min(stop[0] + 1, len(self.voice.bars))):
            for note in self._notes(bar):
                if note.pitch is not None and start <= (bar, note.onset) < stop:
                    listener.hear(note, bar)
                listener.count += 1
        return listener.soundings

    def _tied_into(self, moment: tuple[int, int]) -> bool:
        bar, onset = moment
        if bar >= len(self.voice.bars):
            return False
        return any(
            each.shape.stops_tie
            for note in self._notes(bar)
            if note.onset == onset
            for each in (note, *note.chord)
        )
