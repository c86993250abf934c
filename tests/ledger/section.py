"""A section of the score beside the voices of the sketch that its lines carry."""

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any, NamedTuple

from tests.ledger.entries import Chord, Entry, Moment, Said
from tests.ledger.voice import Voice

Heads = Mapping[Moment, frozenset[float]]
"""What a section strikes, by moment: sounding pitches."""


class Stretch(NamedTuple):
    """A line: from a moment to another it carries a voice of the sketch.

    Attributes:
        start: first moment.
        stop: first moment behind it.
        voice: of the sketch.
        by: semitones it is moved by, octaves left aside.
        giver: section that hands over to this one, which plays what that does not; empty for
            a line of its own.
        receiver: section this one hands over to; empty where it keeps its line.
    """

    start: Moment
    stop: Moment
    voice: Voice
    by: int = 0
    giver: str = ""
    receiver: str = ""

    def is_struck(self, chord: Chord, heads: Heads) -> bool:
        """True where a section strikes a note of a chord, in whatever octave."""
        here = heads.get(chord.at, ())
        return any((high - low - self.by) % 12 == 0 for low in chord.pitches for high in here)


class Sides(NamedTuple):
    """The sketch and the account, as all sections are held against them.

    Attributes:
        elsewhere: (kind, moment) of all that any staff of the sketch says.
        top: what the top part says, where words for all stand.
        report: of the expansion, as JSON has it.
    """

    elsewhere: set[tuple[str, Moment]]
    top: Said
    report: dict[str, Any]


class Section:
    """What a section says in the score, and what it is to play.

    Attributes:
        name: its abbreviation.
        said: by its one or two parts.
        lines: of all passages.
        own_dynamics: True where a layout gives dynamics, steps or a marking of its own.
        others: what all sections say, by name; for handovers.
        gives: True where it hands a line over; of several that one stops and comes in again.
    """

    def __init__(
        self,
        name: str,
        said: Said,
        lines: list[Stretch],
        *,
        own_dynamics: bool = False,
        others: Mapping[str, Said] | None = None,
        gives: bool = False,
    ) -> None:
        self.name = name
        self.said = said
        self.lines = lines
        self.own_dynamics = own_dynamics
        self.gives = gives
        self.heads = heads_of(said)
        self.partners = {
            name: heads_of((others or {})[name])
            for one in lines
            for name in (one.giver, one.receiver)
            if name
        }
        self.there = {(one.kind, one.at) for one in said.entries}

    @cached_property
    def chords(self) -> list[Chord]:
        """Notes and rests in order."""
        return sorted(self.said.chords, key=lambda one: one.at)

    def plays(self, line: Stretch, chord: Chord) -> bool:
        """True where it strikes a chord of a line, or one that the giver of the line leaves.

        What the receiver strikes, and here may be struck by another line, is the receiver's.
        """
        if not line.is_struck(chord, self.heads):
            return False
        if line.giver:
            return not line.is_struck(chord, self.partners[line.giver])
        given = line.receiver and line.is_struck(chord, self.partners[line.receiver])
        return not given or not self._another_strikes(line, chord)

    def _another_strikes(self, line: Stretch, chord: Chord) -> bool:
        """True where another line of the section has a note of this name at a moment."""
        for other in self.lines:
            here = other.voice.covering(chord.at)
            if other.voice is line.voice or here is None or here.at != chord.at:
                continue
            if not other.start <= chord.at < other.stop:
                continue
            named = {(one + other.by) % 12 for one in here.pitches}
            if not named.isdisjoint((one + line.by) % 12 for one in chord.pitches):
                return True
        return False

    def changes_line(self, at: Moment) -> bool:
        """True where it goes from a line of its own to one handed over to it, or back."""
        if not any(one.giver for one in self.lines):
            return False
        before = [one for one in self.sounding if one.at < at]
        here = next((one for one in self.sounding if one.at == at), None)
        if here is None or not before:
            return True
        return self._lines_of(before[-1]) != self._lines_of(here)

    def _lines_of(self, chord: Chord) -> set[int]:
        """Which lines a chord of the section may belong to, by their places."""
        found = set()
        for place, line in enumerate(self.lines):
            source = line.voice.covering(chord.at)
            if source is not None and source.at == chord.at and self.plays(line, source):
                found.add(place)
        return found

    def begins_line(self, at: Moment) -> bool:
        """True at the moment of the first note of a line."""
        return any(
            first.at[:2] == at[:2]
            for line in self.lines
            for first in line.voice.between(line.start, line.stop)[:1]
        )

    @cached_property
    def sounding(self) -> list[Chord]:
        """Its notes in order."""
        return [one for one in self.chords if one.pitches]

    def shift(self, chord: Chord) -> float | None:
        """How far the highest note of a chord is moved; None where it is not played."""
        here = self.heads.get(chord.at)
        return max(here) - max(chord.pitches) if here else None

    def has_border(self, first: Moment, last: Moment) -> bool:
        """True where lines of the section begin or end: who plays on may stand elsewhere."""
        return any(first < at <= last for one in self.lines for at in one[:2])

    def voices_at(self, at: Moment) -> Iterator[Voice]:
        """What its lines carry at a moment; a note is played to its end, whatever ends."""
        for start, stop, voice in (one[:3] for one in self.lines):
            last = voice.covering(stop)
            end = max(stop[:2], last.end) if last and last.at < stop else stop[:2]
            if start[:2] <= at[:2] <= end:
                yield voice

    def says(self, entry: Entry) -> str:
        """An entry for people."""
        return f"{self.name} bar {entry.at.bar + 1} {entry.at.onset}: {entry.kind}"


def heads_of(said: Said) -> dict[Moment, frozenset[float]]:
    """What a section strikes, on both its staves."""
    heads: dict[Moment, frozenset[float]] = {}
    for one in said.chords:
        if one.pitches:
            heads[one.at] = heads.get(one.at, frozenset()) | one.pitches
    return heads
