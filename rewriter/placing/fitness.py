"""How well a section sounds with a tune at some octave: its registers, weighed by time."""

from __future__ import annotations

import math
from bisect import bisect_right
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rewriter.rulefiles.ensembles import Section
    from rewriter.sketch.model import Sounding

Profile = dict[float, int]
"""How long each pitch of the tune sounds: sounding MIDI number → divisions."""

Counts = dict[float, int]
"""How often each pitch of the tune is struck: sounding MIDI number → notes."""

BEYOND_RANGE = -1.0
BEYOND_EXTREME = -10.0
DECIMALS = 9
"""Means are rounded to so many, so that the order of a sum does not decide between equals."""

FOUR_LEVELS = 4
"""From so many levels on, low cellos under a full texture are a gain (common practice, no
source): :attr:`Register.fitness_in_four_levels` holds."""


def profile(notes: Iterable[Sounding]) -> Profile:
    """How long each pitch sounds, lowest first; a pitch only grace notes have is 0.

    >>> from rewriter.sketch.model import Sounding
    >>> profile([Sounding(0, 0, 4, 62, -1, 0), Sounding(0, 4, 2, 60, -1, 1)])
    {60: 2, 62: 4}
    """
    lengths: Profile = {}
    for note in notes:
        lengths[note.midi] = lengths.get(note.midi, 0) + note.length
    return dict(sorted(lengths.items()))


def count_pitches(notes: Iterable[Sounding]) -> Counts:
    """How often each pitch is struck, lowest first; grace notes count.

    >>> from rewriter.sketch.model import Sounding
    >>> count_pitches([Sounding(0, 0, 4, 62, -1, 0), Sounding(0, 4, 0, 62, -1, 1)])
    {62: 2}
    """
    counts: Counts = {}
    for note in notes:
        counts[note.midi] = counts.get(note.midi, 0) + 1
    return dict(sorted(counts.items()))


def fitness(section: Section, midi: float, levels: int) -> float:
    """How well one pitch suits a section that carries the tune.

    Args:
        section: the section.
        midi: sounding MIDI number.
        levels: how many octaves of the layout are played, empty ones not counted.

    Returns:
        The register's figure, 0 to 1, inside the range; -1 between range and extreme (or
        between the lowest note and the range); -10 above the extreme or below the lowest.
    """
    starts, values = _steps(section, levels)
    return values[bisect_right(starts, midi)]


def line_fitness(section: Section, profile: Profile, shift: int, levels: int) -> float:
    """Mean fitness of a line, weighted by length; grace notes weigh nothing.

    A tune of nothing but grace notes is weighed pitch by pitch; one of no notes has 0.

    Args:
        section: who plays it.
        profile: divisions by the tune's sounding MIDI number.
        shift: semitones from the tune, 12 for each octave.
        levels: how many octaves of the layout are played.

    Returns:
        -10 to 1.
    """
    starts, values = _steps(section, levels)
    total = sum(profile.values())
    if total:
        weighed = sum(
            length * values[bisect_right(starts, midi + shift)]
            for midi, length in profile.items()
        )
        return round(weighed / total, DECIMALS)
    found = [values[bisect_right(starts, midi + shift)] for midi in profile]
    return round(sum(found) / len(found), DECIMALS) if found else 0.0


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
    return all(
        register.fitness <= 0 and not register.fitness_in_four_levels
        for register in section.registers
    )


def _steps(section: Section, levels: int) -> tuple[list[float], list[float]]:
    """Fitness as steps: `values[i]` holds from `starts[i - 1]` up to below `starts[i]`."""
    starts: list[float] = [section.lowest]
    values = [BEYOND_EXTREME, BEYOND_RANGE]
    for register in section.registers:
        figure = register.fitness
        if levels >= FOUR_LEVELS and register.fitness_in_four_levels is not None:
            figure = register.fitness_in_four_levels
        starts.append(max(register.from_midi, section.low))
        values.append(figure)
    starts += [
        math.nextafter(section.high, math.inf),
        math.nextafter(section.extreme, math.inf),
    ]
    values += [BEYOND_RANGE, BEYOND_EXTREME]
    return starts, values
