"""A tune against what each section can sing: every section alone, at every octave."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from rewriter.placing.fitness import line_fitness, register_shares
from rewriter.placing.limits import notes_outside

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.placing.fitness import Heard, Profile
    from rewriter.placing.limits import Outside
    from rewriter.rulefiles.ensembles import Section

_ALONE = 1
"""How many levels a section makes by itself."""


class AtOctave(msgspec.Struct, frozen=True):
    """A tune in a section alone at one octave.

    Attributes:
        octave: whole octaves from the tune's sounding pitch.
        suits: -10 to 1.
        outside: notes it cannot be asked to play.
        registers: those it sounds in, lowest first, each with its share of the time.
    """

    octave: int
    suits: float
    outside: Outside
    registers: list[tuple[str, float]]


def octaves_of(section: Section, heard: Heard, lengths: Profile) -> Iterator[AtOctave]:
    """A section at every octave at which more than half of the time is in its range, top down.

    Args:
        section: who would play.
        heard: of the tune.
        lengths: how long each pitch of it sounds; how often, where none has a length.
    """
    total = sum(lengths.values())
    highest = int((section.high - min(lengths)) // 12)
    lowest = int(-((max(lengths) - section.low) // 12))
    for octave in range(highest, lowest - 1, -1):
        shift = 12 * octave
        inside = sum(
            length
            for midi, length in lengths.items()
            if section.low <= midi + shift <= section.high
        )
        if 2 * inside > total:
            yield AtOctave(
                octave,
                line_fitness(section, heard.profiles, shift, _ALONE),
                notes_outside(section, heard.counts, shift),
                register_shares(section, lengths, shift),
            )
