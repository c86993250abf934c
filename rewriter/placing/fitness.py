"""How well a section sounds with a tune at some octave: its registers, weighed by time."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from rewriter.rulefiles.ensembles import Section

Profile = dict[float, int]
Counts = dict[float, int]


class Sounding(NamedTuple):
    """One note of the tune as it sounds; a tied run is one note.

    Attributes:
        bar: index of the bar its beginning lies in, from 0.
        onset: divisions from the start of that bar.
        length: divisions; 0 for a grace note.
        midi: sounding MIDI number in the tune (C4 = 60), quarter tones as .5.
        group: which slurred group or phrase run it belongs to, consecutive; -1 for none.
        index: its position in the tune's list of notes.
    """

    bar: int
    onset: int
    length: int
    midi: float
    group: int
    index: int


def profile(notes: Iterable[Sounding]) -> Profile:
    """How long each pitch sounds: MIDI number → divisions, grace notes as 0."""
    raise NotImplementedError


def count_pitches(notes: Iterable[Sounding]) -> Counts:
    """How often each pitch is struck: MIDI number → notes, grace notes counted."""
    raise NotImplementedError


def fitness(section: "Section", midi: float, levels: int) -> float:
    """How well one sounding pitch suits a section that carries the tune."""
    raise NotImplementedError


def line_fitness(section: "Section", profile: Profile, octave: int, levels: int) -> float:
    """Mean fitness of a line, weighted by length."""
    raise NotImplementedError


def register_shares(
    section: "Section", profile: Profile, octave: int
) -> list[tuple[str, float]]:
    """How much of a line's time lies in each register, lowest register first."""
    raise NotImplementedError
