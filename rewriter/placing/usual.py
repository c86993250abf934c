"""How usual a place is in the repertory: what composers did, not what sections can."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from rewriter.placing.fitness import DECIMALS
from rewriter.rulefiles.repertory import at_pitch

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.candidates import StackLine
    from rewriter.placing.fitness import Profile, Profiles
    from rewriter.rulefiles.repertory import MeasuredSection, Repertory


class HowUsual(msgspec.Struct, frozen=True):
    """Of a hundred tunes of a section, as a line of it lies.

    Attributes:
        as_high: how many lie as high on average.
        up_to: how many go as high at the top.
    """

    as_high: int
    up_to: int


def usual_of(lines: Sequence[StackLine], top: int, repertory: Repertory) -> float:
    """How usual a stack is at an octave: the greater the more.

    The logarithm of the share of tune time at each pitch, by section and strength, the mean
    over the notes and then over the lines, less a weight for each octave between the top line
    and the tune. Lines of sections of which nothing was measured do not count.

    Args:
        lines: of the stack.
        top: whole octaves of the top line from the tune's sounding pitch.
        repertory: what was measured.
    """
    figures = [
        _line(measured, line.heard.profiles, 12 * (top - line.level), repertory.elsewhere)
        for line in lines
        if (measured := repertory.of(line.section)) is not None
    ]
    mean = sum(figures) / len(figures) if figures else 0.0
    return round(mean - repertory.per_octave * abs(top), DECIMALS)


def _line(measured: MeasuredSection, profiles: Profiles, shift: int, elsewhere: float) -> float:
    total, weighed = 0, 0.0
    for strength, profile in profiles.items():
        shares = measured.shares(strength)
        for midi, length in profile.items():
            place = int((midi + shift) // 1) - measured.lowest
            share = shares[place] if 0 <= place < len(shares) else elsewhere
            total += length
            weighed += length * share
    return weighed / total if total else 0.0


def how_usual(measured: MeasuredSection, lengths: Profile, shift: int) -> HowUsual | None:
    """How usual it is that a section lies so high; None for a line without sounding time.

    Args:
        measured: of the section.
        lengths: divisions by the tune's sounding MIDI number.
        shift: semitones from the tune, 12 for each octave.
    """
    total = sum(lengths.values())
    if not total:
        return None
    mean = shift + sum(midi * length for midi, length in lengths.items()) / total
    return HowUsual(
        at_pitch(measured.as_high, measured.lowest, mean),
        at_pitch(measured.up_to, measured.lowest, max(lengths) + shift),
    )
