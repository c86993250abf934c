"""A section of the score beside the voices of the sketch that its lines carry."""

from collections.abc import Iterator
from functools import cached_property
from typing import Any, NamedTuple

from tests.ledger.entries import Chord, Entry, Moment, Said
from tests.ledger.voice import Voice

Stretch = tuple[Moment, Moment, Voice]
"""A line: from a moment to another it carries a voice of the sketch."""


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
    """

    def __init__(
        self, name: str, said: Said, lines: list[Stretch], *, own_dynamics: bool = False
    ) -> None:
        self.name = name
        self.said = said
        self.lines = lines
        self.own_dynamics = own_dynamics
        self.heads = {one.at: one.pitches for one in said.chords if one.pitches}
        self.there = {(one.kind, one.at) for one in said.entries}

    @cached_property
    def chords(self) -> list[Chord]:
        """Notes and rests in order."""
        return sorted(self.said.chords, key=lambda one: one.at)

    def shift(self, chord: Chord) -> float | None:
        """How far the highest note of a chord is moved; None where it is not played."""
        here = self.heads.get(chord.at)
        return max(here) - max(chord.pitches) if here else None

    def has_border(self, first: Moment, last: Moment) -> bool:
        """True where lines of the section begin or end: who plays on may stand elsewhere."""
        return any(first < at <= last for one in self.lines for at in one[:2])

    def voices_at(self, at: Moment) -> Iterator[Voice]:
        """What its lines carry at a moment; a note is played to its end, whatever ends."""
        for start, stop, voice in self.lines:
            last = voice.covering(stop)
            end = max(stop[:2], last.end) if last and last.at < stop else stop[:2]
            if start[:2] <= at[:2] <= end:
                yield voice

    def says(self, entry: Entry) -> str:
        """An entry for people."""
        return f"{self.name} bar {entry.at.bar + 1} {entry.at.onset}: {entry.kind}"
