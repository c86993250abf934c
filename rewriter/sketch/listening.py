"""What sounds in a stretch of a voice, and which of its notes that is."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from operator import attrgetter
from typing import TYPE_CHECKING

from rewriter.sketch.voices import Listener
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

    from rewriter.sketch.model import Note, Sounding, Voice

Where = tuple[int, int]
"""A note of a voice: index of the bar, place among the notes of that bar."""


def notes_in(voice: Voice, bar: int) -> list[Note]:
    """The notes of a bar, rests and grace notes included."""
    return voice.bars[bar].notes


def where(voice: Voice, index: int) -> Where:
    """Bar and place of a note counted from the beginning of the voice."""
    bar = bisect_right(voice.firsts, index) - 1
    return bar, index - voice.firsts[bar]


def notes_of(voice: Voice, soundings: Sequence[Sounding], first: int, last: int) -> list[Where]:
    """Every note from one sounding to another: ties and rests included.

    Args:
        voice: whose.
        soundings: of this voice, in order.
        first: position among them.
        last: position among them, inclusive.
    """
    begin = soundings[first].index
    if last + 1 < len(soundings):
        end = max(soundings[last + 1].index, soundings[last].index + 1)
    else:
        *_, (end, _) = _pieces(voice, soundings[last])
        end += 1
    return [where(voice, index) for index in range(begin, end)]


def _pieces(voice: Voice, sounding: Sounding) -> Iterator[tuple[int, Note]]:
    """The notes a sounding is written as, each with its place counted from the beginning."""
    index, left = sounding.index, sounding.length
    while index < voice.firsts[-1]:
        bar, place = where(voice, index)
        note = notes_in(voice, bar)[place]
        yield index, note
        left -= note.length
        index += 1
        if left <= 0:
            return


def left_of(
    voice: Voice, soundings: Sequence[Sounding], gone: Collection[Where]
) -> list[Sounding]:
    """What still sounds where some notes are silent; of a tied run, the rest of it.

    Args:
        voice: whose.
        soundings: of this voice, in order.
        gone: the notes that are silent.
    """
    silent = {voice.firsts[bar] + place for bar, place in gone}
    if not silent:
        return list(soundings)
    first, behind = min(silent), max(silent) + 1
    starts = voice.timeline.starts
    begin, end = starts[where(voice, first)[0]], starts[where(voice, behind - 1)[0] + 1]
    left: list[Sounding] = []
    for sounding in soundings:
        if sounding.end < begin or sounding.start > end:
            left.append(sounding)
        else:
            left += _without(voice, sounding, silent)
    return sorted(left, key=attrgetter("index"))


def _without(voice: Voice, sounding: Sounding, silent: Collection[int]) -> list[Sounding]:
    """A sounding without some of its notes: what is left, as one or several."""
    first = voice.bars[sounding.bar].notes[sounding.index - voice.firsts[sounding.bar]]
    if first.length == sounding.length:  # as most are, it is written as one note
        return [] if sounding.index in silent else [sounding]
    left: list[Sounding] = []
    start, follows = sounding.start, False
    for index, note in _pieces(voice, sounding):
        sounds = index not in silent
        if sounds and follows:
            left[-1] = left[-1]._replace(length=left[-1].length + note.length)
        elif sounds:
            left.append(
                sounding._replace(
                    bar=where(voice, index)[0], start=start, length=note.length, index=index
                )
            )
        start += note.length
        follows = sounds
    return left


def between(voice: Voice, start: Moment, stop: Moment) -> Sequence[Sounding]:
    """What sounds from one moment to another; a note tied over the first begins there.

    Args:
        voice: whose.
        start: first moment.
        stop: first moment behind it.
    """
    if not _tied_into(voice, start) and not _tied_into(voice, stop):
        known = voice.soundings
        first = bisect_left(known, start, key=lambda sounding: _written(voice, sounding))
        last = bisect_left(known, stop, key=lambda sounding: _written(voice, sounding))
        return known[first:last]
    listener = Listener()
    for bar in range(start.bar, min(stop.bar + 1, len(voice.bars))):
        notes = notes_in(voice, bar)
        heard = [note for note in notes if start <= (bar, note.onset) < stop]
        before = sum((bar, note.onset) < start for note in notes)
        listener.count = voice.firsts[bar] + before
        listener.listen(bar, voice.timeline.starts[bar], heard)
    return listener.soundings


def _written(voice: Voice, sounding: Sounding) -> Moment:
    """Where the first note of a sounding is written."""
    return Moment(sounding.bar, sounding.start - voice.timeline.starts[sounding.bar])


def _tied_into(voice: Voice, moment: Moment) -> bool:
    if moment.bar >= len(voice.bars):
        return False
    return any(
        each.shape.stops_tie
        for note in notes_in(voice, moment.bar)
        if note.onset == moment.onset
        for each in (note, *note.chord)
    )
