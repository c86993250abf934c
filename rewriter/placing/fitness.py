"""How well a section sounds with a tune at some octave: its registers, weighed by time."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import Counter
from itertools import repeat
from operator import add, mul
from typing import TYPE_CHECKING

import msgspec

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from rewriter.rulefiles.ensembles import Section
    from rewriter.sketch.model import Sounding, StrengthFrom
    from rewriter.theory.dynamics import Strength

Profile = dict[float, int]
"""How long each pitch of the tune sounds: sounding MIDI number → divisions."""

Profiles = dict["Strength", Profile]
"""The same by how strong the music is there; only strengths that occur."""

Counts = dict[float, int]
"""How often each pitch of the tune is struck: sounding MIDI number → notes."""

BEYOND_RANGE = -1.0
BEYOND_EXTREME = -10.0
DECIMALS = 9
"""Means are rounded to so many, so that the order of a sum does not decide between equals."""

FOUR_LEVELS = 4
"""From so many levels on, low cellos under a full texture are a gain (common practice, no
source): :attr:`Register.fitness_in_four_levels` holds."""


class Heard(msgspec.Struct, frozen=True):
    """What of a tune placing has to know.

    Attributes:
        profiles: how long each pitch sounds, by strength.
        counts: how often each is struck.
    """

    profiles: Profiles
    counts: Counts

    def moved(self, semitones: int) -> Heard:
        """The same at other pitches."""
        return Heard(
            {name: _moved(profile, semitones) for name, profile in self.profiles.items()},
            _moved(self.counts, semitones),
        )

    def as_plain(self) -> Heard:
        """The same without its dynamics."""
        return Heard({"plain": whole_profile(self.profiles)}, self.counts)


def _moved(histogram: Mapping[float, int], semitones: int) -> dict[float, int]:
    return {midi + semitones: many for midi, many in histogram.items()}


def hear(notes: Sequence[Sounding], strengths: Sequence[StrengthFrom]) -> Heard:
    """What of some notes placing has to know.

    Args:
        notes: of one voice.
        strengths: of that voice.
    """
    return Heard(profiles_of(notes, strengths), count_pitches(notes))


def profile(notes: Iterable[Sounding]) -> Profile:
    """How long each pitch sounds, lowest first; a pitch only grace notes have is 0.

    >>> from rewriter.sketch.model import Sounding
    >>> profile([Sounding(0, 0, 4, 62, -1, 0), Sounding(0, 4, 2, 60, -1, 1)])
    {60: 2, 62: 4}
    """
    lengths: Profile = {}
    for _, _, length, midi, _, _ in notes:
        lengths[midi] = lengths.get(midi, 0) + length
    return dict(sorted(lengths.items()))


def profiles_of(notes: Sequence[Sounding], strengths: Sequence[StrengthFrom]) -> Profiles:
    """How long each pitch sounds while the music is soft, plain and full.

    A note over which the strength changes counts with each for as long as it holds.

    >>> from rewriter.sketch.model import Sounding, StrengthFrom
    >>> profiles_of([Sounding(0, 0, 4, 62, -1, 0)], [StrengthFrom(3, "soft")])
    {'plain': {62: 3}, 'soft': {62: 1}}
    """
    if not notes or not strengths:
        return {"plain": profile(notes)}
    times = [each.time for each in strengths]
    names: list[Strength] = ["plain", *(each.strength for each in strengths)]
    found: Profiles = {}
    since = until = -math.inf  # while the strength of the note before lasts
    lengths: Profile = {}
    for _, begin, length, midi, _, _ in notes:
        start, end = begin, begin + length
        if since <= start < until and end <= until:  # as nearly every note
            lengths[midi] = lengths.get(midi, 0) + length
            continue
        at = bisect_right(times, start)
        while at < len(times) and times[at] < end:
            _add(found, names[at], midi, times[at] - start)
            start = times[at]
            at += 1
        lengths = _add(found, names[at], midi, end - start)
        since = times[at - 1] if at else -math.inf
        until = times[at] if at < len(times) else math.inf
    return {name: dict(sorted(lengths.items())) for name, lengths in found.items()}


def _add(found: Profiles, strength: Strength, midi: float, length: int) -> Profile:
    lengths = found.setdefault(strength, {})
    lengths[midi] = lengths.get(midi, 0) + length
    return lengths


def whole_profile(profiles: Profiles) -> Profile:
    """How long each pitch sounds, whatever the strength, lowest first."""
    if len(profiles) == 1:
        return next(iter(profiles.values()))
    lengths: Profile = {}
    for each in profiles.values():
        for midi, length in each.items():
            lengths[midi] = lengths.get(midi, 0) + length
    return dict(sorted(lengths.items()))


def count_pitches(notes: Iterable[Sounding]) -> Counts:
    """How often each pitch is struck, lowest first; grace notes count.

    >>> from rewriter.sketch.model import Sounding
    >>> count_pitches([Sounding(0, 0, 4, 62, -1, 0), Sounding(0, 4, 0, 62, -1, 1)])
    {62: 2}
    """
    return dict(sorted(Counter([note.midi for note in notes]).items()))


def fitness(section: Section, midi: float, levels: int, strength: Strength = "plain") -> float:
    """How well one pitch suits a section that carries the tune.

    Args:
        section: the section.
        midi: sounding MIDI number.
        levels: how many octaves of the layout are played, empty ones not counted.
        strength: how strong the music is there.

    Returns:
        The register's figure, 0 to 1, inside the range; -1 between range and extreme (or
        between the lowest note and the range); -10 above the extreme or below the lowest.
    """
    return _values(section, levels, strength)[bisect_right(_starts(section), midi)]


def line_fitness(section: Section, profiles: Profiles, shift: int, levels: int) -> float:
    """Mean fitness of a line, weighted by length; grace notes weigh nothing.

    A tune of nothing but grace notes is weighed pitch by pitch; one of no notes has 0.

    Args:
        section: who plays it.
        profiles: divisions by strength and the tune's sounding MIDI number.
        shift: semitones from the tune, 12 for each octave.
        levels: how many octaves of the layout are played.

    Returns:
        -10 to 1.
    """
    starts = _starts(section)
    total = many = 0
    weighed = counted = 0.0
    for strength, profile in profiles.items():
        figures = _values(section, levels, strength)
        places = map(bisect_right, repeat(starts), map(add, profile, repeat(shift)))
        values = list(map(figures.__getitem__, places))
        total += sum(profile.values())
        many += len(values)
        weighed = sum(map(mul, profile.values(), values), weighed)
        counted = sum(values, counted)
    if total:
        return round(weighed / total, DECIMALS)
    return round(counted / many, DECIMALS) if many else 0.0


def register_shares(section: Section, profile: Profile, shift: int) -> list[tuple[str, float]]:
    """How much of a line's sounding time lies in each register.

    Args:
        section: who plays it.
        profile: divisions by the tune's sounding MIDI number.
        shift: semitones from the tune, 12 for each octave.

    Returns:
        Register name and share (above 0, to 1), lowest first. Notes outside the range come
        first as ``below the range`` and last as ``above the range``.
    """
    names = ["below the range", *(register.name for register in section.registers)]
    names.append("above the range")
    starts = [float(register.from_midi) for register in section.registers]
    times = [0] * len(names)
    for midi, length in profile.items():
        pitch = midi + shift
        if pitch > section.high:
            times[-1] += length
        elif pitch < section.low:
            times[0] += length
        else:
            times[bisect_right(starts, pitch)] += length
    total = sum(times)
    return [(name, time / total) for name, time in zip(names, times, strict=True) if time]


def never_carries(section: Section) -> bool:
    """True when no register of a section suits a tune, as with double basses."""
    return not any(
        any(figures)
        for register in section.registers
        for figures in (register.fitness, register.fitness_in_four_levels or ())
    )


def _starts(section: Section) -> list[float]:
    """Where fitness changes: lowest note, registers, above the range, above the extreme."""
    return [
        section.lowest,
        *(max(register.from_midi, section.low) for register in section.registers),
        math.nextafter(section.high, math.inf),
        math.nextafter(section.extreme, math.inf),
    ]


def _values(section: Section, levels: int, strength: Strength) -> list[float]:
    """The fitness before, between and behind those."""
    figures = [
        register.fitness_in_four_levels
        if levels >= FOUR_LEVELS and register.fitness_in_four_levels is not None
        else register.fitness
        for register in section.registers
    ]
    inside = (each.at(strength) for each in figures)
    return [BEYOND_EXTREME, BEYOND_RANGE, *inside, BEYOND_RANGE, BEYOND_EXTREME]
