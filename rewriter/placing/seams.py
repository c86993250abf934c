"""Seams: where a line may be parted."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING, NamedTuple

import msgspec

from rewriter.placing.tuplets import whole
from rewriter.sketch.listening import notes_in, notes_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.phrases import Breathing
    from rewriter.sketch.listening import Where
    from rewriter.sketch.model import Sounding, Voice


class Excursion(NamedTuple):
    """What of a line is away, or may go: positions among its soundings, inclusive."""

    first: int
    last: int


class Notes(msgspec.Struct, frozen=True):
    """The soundings of a line, and what is known of each and the next.

    Attributes:
        voice: they belong to.
        soundings: in order.
        ends: until when anything sounds, up to and with each; divisions from the beginning.
        bound: True where each and the next cannot be parted: a grace note and what it leads
            to, notes of a chord, a note that begins while another is still tied.
        breathing: where the piece breathes.
    """

    voice: Voice
    soundings: Sequence[Sounding]
    ends: Sequence[int]
    bound: Sequence[bool]
    breathing: Breathing

    def places(self, one: Excursion) -> list[Where]:
        """Every note of an excursion; rests in it, behind it and in its tuplets too."""
        return whole(self.voice, notes_of(self.voice, self.soundings, *one))

    def times(self, one: Excursion) -> tuple[int, int]:
        """From when to when an excursion sounds, with the rests of its tuplets."""
        voice = self.voice
        heard = [
            (bar, place)
            for bar, place in notes_of(voice, self.soundings, *one)
            if notes_in(voice, bar)[place].pitch is not None
        ]
        begin, end = time_of(voice, whole(voice, heard))
        return begin, max(end, begin + 1)


def looked_at(voice: Voice, soundings: Sequence[Sounding], breathing: Breathing) -> Notes:
    """The soundings of a line, ready to be parted."""
    ends = list(accumulate((sounding.end for sounding in soundings), max))
    bound = [
        before.leads_to(after) or end > after.start
        for (before, after), end in zip(pairwise(soundings), ends, strict=False)
    ]
    return Notes(voice, soundings, ends, bound, breathing)


def time_of(voice: Voice, notes: Sequence[Where]) -> tuple[int, int]:
    """From when to when notes last, divisions from the beginning of the piece."""
    times = [
        (voice.timeline.starts[bar] + note.onset, note.length)
        for bar, place in notes
        for note in (notes_in(voice, bar)[place],)
    ]
    return min(start for start, _ in times), max(start + length for start, length in times)


def at_barline(notes: Notes, at: int) -> bool:
    """True when a barline lies between a note and the next, and nothing is tied over it."""
    bar = notes.soundings[at + 1].bar
    return notes.soundings[at].bar < bar and notes.ends[at] <= notes.voice.timeline.starts[bar]


def is_seam(notes: Notes, at: int) -> bool:
    """True where a bar or a slur ends behind a note and it can be parted from the next."""
    before, after = notes.soundings[at : at + 2]
    return at_barline(notes, at) or (not notes.bound[at] and before.group != after.group)


def closer_than_a_bar(notes: Notes, last: int, first: int) -> bool:
    """True when less than a bar lies between the end of one note and another."""
    timeline, end = notes.voice.timeline, notes.ends[last]
    return notes.soundings[first].start - end < timeline.length(timeline.ending(end).bar)


def bars_between(notes: Notes, first: int, last: int) -> float:
    """How many bars some notes last, counted in the longest of those they touch."""
    timeline = notes.voice.timeline
    begin, end = notes.soundings[first].start, notes.ends[last]
    if end <= begin:
        return 0
    bars = range(timeline.moment(begin).bar, timeline.ending(end).bar + 1)
    return (end - begin) / max(timeline.length(bar) for bar in bars)


def with_tuplets(notes: Notes, one: Excursion) -> Excursion:
    """An excursion with all tuplets it touches, and with notes tied into or out of them."""
    larger = _with_touched(notes, one)
    while larger != one:
        one, larger = larger, _with_touched(notes, larger)
    return one


def _with_touched(notes: Notes, one: Excursion) -> Excursion:
    voice, soundings = notes.voice, notes.soundings
    inside = notes.places(one)
    begin = time_of(voice, inside)[0]
    (bar, place), (last_bar, last_place) = inside[0], inside[-1]
    index, last_index = voice.firsts[bar] + place, voice.firsts[last_bar] + last_place
    first = min(
        bisect_left(soundings, index, key=lambda each: each.index),
        bisect_right(notes.ends, begin),
    )
    last = bisect_right(soundings, last_index, key=lambda each: each.index) - 1
    while first > 0 and notes.bound[first - 1]:
        first -= 1
    while last + 1 < len(soundings) and notes.bound[last]:
        last += 1
    return Excursion(first, last)
