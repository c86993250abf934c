"""Which ways of playing have to be said again: what players were told last, group by group.

A player plays as he was told last, whatever the sketch has said meanwhile to others. Where
that is not what his music asks for, he is told: ``pizz.`` where he enters under a pizzicato
told to others, ``arco`` where he was left plucking. Who plays as his music asks anyhow is told
nothing.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from functools import cached_property
from heapq import heapify, heappop, heappush
from operator import itemgetter
from typing import TYPE_CHECKING, NamedTuple

import msgspec

from rewriter.notating.repairs import belongs
from rewriter.sketch.listening import notes_in, where
from rewriter.sketch.model import Note, Sign
from rewriter.theory.techniques import ORDINARY, Technique, after, cancelling

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.notating.depths import Strand
    from rewriter.notating.seats import Seats
    from rewriter.placing.lines import Line
    from rewriter.sketch.listening import Where
    from rewriter.sketch.model import Voice
    from rewriter.theory.techniques import Ways

Time = tuple[int, int]
"""Index of the bar, divisions from its start."""


class Seated(msgspec.Struct, frozen=True):
    """A line of a section, the strand it is written in, and where its players sit."""

    line: Line
    strand: Strand
    seats: Sequence[Seats]


class Restated(NamedTuple):
    """Words to be said before a note of a line.

    Attributes:
        strand: of the line.
        voice: ``id`` of what it plays.
        where: the note.
        words: one or several, in their order.
    """

    strand: Strand
    voice: int
    where: Where
    words: tuple[str, ...]


class Change(msgspec.Struct, frozen=True):
    """A technique that a voice asks for, and all it asks for from there on."""

    where: Where
    sign: Sign
    technique: Technique
    ways: Ways


def changes_in(voice: Voice) -> list[Change]:
    """Every technique a voice asks for, in order; the note it speaks of is its place.

    Words of tremolo over notes that have its strokes only name them.
    """
    found: list[tuple[Where, Sign, Technique]] = []
    for bar, source in enumerate(voice.bars):
        place = 0
        for at, item in enumerate(source.items):
            if isinstance(item, Note):
                place += 1
            elif item.detail is not None and item.scope == "line":
                for technique in item.detail.techniques:
                    if technique.value == "trem" and _has_strokes(source.items[at:]):
                        continue
                    spoken_of = item.speaks_of(notes_in(voice, bar), place)
                    found.append(((bar, spoken_of), item, technique))
    changes: list[Change] = []
    ways: Ways = {}
    for said_at, sign, technique in sorted(found, key=itemgetter(0)):
        ways = after(ways, technique)
        changes.append(Change(said_at, sign, technique, ways))
    return changes


def _has_strokes(items: Sequence[Note | Sign]) -> bool:
    note = next((item for item in items if isinstance(item, Note)), None)
    return note is not None and any(one.tag == "tremolo" for one in note.shape.notations)


def restated(lines: Sequence[Seated], language: str) -> list[Restated]:
    """What has to be said again in a section, from the first bar to the last.

    Args:
        lines: all its lines, of all passages.
        language: of the words in the parts.
    """
    return list(_Rehearsal(lines, language).run())


class _Told:
    """One line as its players are told it."""

    def __init__(self, seated: Seated, changes: Sequence[Change]) -> None:
        self.seated = seated
        self.changes = changes
        self.line = seated.line
        self.starts = seated.line.voice.timeline.starts
        self.checked: set[Where] = set()

    @cached_property
    def indexes(self) -> list[int]:
        """Where it begins to sound anything, counted in notes of the voice, in order."""
        return sorted({sounding.index for sounding in self.line.soundings})

    def note(self, at: int) -> Where | None:
        """One of the notes at which it begins to sound anything, counted from its first."""
        return where(self.line.voice, self.indexes[at]) if at < len(self.indexes) else None

    def asked(self, note: Where) -> Ways:
        """How the voice asks a note to be played."""
        at = bisect_right(self.changes, note, key=lambda change: change.where)
        return self.changes[at - 1].ways if at else {}

    def is_told(self, change: Change) -> bool:
        """True when its players have the words of the voice before them."""
        bar, place = change.where
        play = self.line.plays.get(bar)
        if play is None or play.silent:
            return False
        return belongs(play, place, change.sign, notes_in(play.voice, bar))

    def time_of(self, note: Where) -> Time:
        """The moment of a note of the voice, or of the end of its bar."""
        bar, place = note
        notes = notes_in(self.line.voice, bar)
        return bar, notes[place].onset if place < len(notes) else self.starts[bar + 1]

    def first_from(self, where: Where) -> Where | None:
        """The first note of the line at or behind a place of the voice."""
        bar, place = where
        return self.note(bisect_left(self.indexes, self.line.voice.firsts[bar] + place))

    def next_after(self, time: Time) -> Where | None:
        """The first note of the line behind a moment."""
        voice = self.line.voice
        at = bisect_right(self.indexes, time, key=lambda i: self.time_of(where(voice, i)))
        return self.note(at)


class _Rehearsal:
    """Goes through a section's music in time, and keeps in mind what each player was told."""

    def __init__(self, lines: Sequence[Seated], language: str) -> None:
        self._language = language
        voices = {id(one.line.voice): one.line.voice for one in lines}
        changes = {name: changes_in(voice) for name, voice in voices.items()}
        self._lines = [_Told(one, changes[id(one.line.voice)]) for one in lines]
        borders = sorted({edge for one in lines for seats in one.seats for edge in seats})
        self._players = [
            [
                at
                for at, first in enumerate(borders)
                if any(seats.first <= first < seats.behind for seats in told.seated.seats)
            ]
            for told in self._lines
        ]
        self._ways: list[Ways] = [{} for _ in borders]
        self._waiting: list[tuple[Time, bool, int, Where, int]] = []

    def run(self) -> Iterator[Restated]:
        """Everything that has to be said again, in the order of time."""
        for number, told in enumerate(self._lines):
            if (first := told.note(0)) is not None:
                self._look_at(number, first)
            for at, change in enumerate(told.changes):
                time = told.time_of(change.where)
                if told.is_told(change):
                    self._waiting.append((time, False, number, change.where, at))
                elif (note := told.first_from(change.where)) is not None:
                    self._look_at(number, note)
        heapify(self._waiting)
        while self._waiting:
            time, is_note, number, note, at = heappop(self._waiting)
            told = self._lines[number]
            if not is_note:
                self._tell(number, told.changes[at].technique, time)
            elif words := tuple(self._missing(number, note, time)):
                yield Restated(told.seated.strand, id(told.line.voice), note, words)

    def _look_at(self, number: int, note: Where) -> None:
        told = self._lines[number]
        if note not in told.checked:
            told.checked.add(note)
            heappush(self._waiting, (told.time_of(note), True, number, note, 0))

    def _tell(self, number: int, technique: Technique, time: Time) -> None:
        """Tell the players of a line something; whoever else they play for has to look."""
        players = self._players[number]
        for player in players:
            self._ways[player] = after(self._ways[player], technique)
        for other, told in enumerate(self._lines):
            if other != number and not set(players).isdisjoint(self._players[other]):
                note = told.next_after(time)
                if note is not None:
                    self._look_at(other, note)

    def _missing(self, number: int, note: Where, time: Time) -> Iterator[str]:
        """What the players of a line have to be told before a note."""
        asked = self._lines[number].asked(note)
        for family, ordinary in ORDINARY.items():
            wanted = asked.get(family) or Technique(family, ordinary, "")
            told = {
                self._ways[player][family].value if family in self._ways[player] else ordinary
                for player in self._players[number]
            }
            if told - {wanted.value}:
                words = wanted.words or cancelling(family, self._language)
                self._tell(number, wanted._replace(words=words), time)
                yield words
