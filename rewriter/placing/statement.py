"""Where the stack of a statement goes, and where it would by other lights."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import msgspec

from rewriter.placing.candidates import Manner
from rewriter.placing.fitness import hear
from rewriter.placing.octave import place, place_as_sketched
from rewriter.rulefiles.repertory import measured_registers
from rewriter.sketch.listening import notes_in, where
from rewriter.theory.dynamics import STRENGTHS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.fitness import Heard
    from rewriter.placing.lines import Stretch
    from rewriter.placing.octave import Placement
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.layouts import Condition
    from rewriter.rulefiles.stack_lines import Stack
    from rewriter.rulefiles.words import RegisterSet
    from rewriter.theory.dynamics import Strength


class StatementPlaced(msgspec.Struct, frozen=True):
    """Where the stack of a statement was put, and what else there is to know of that.

    Attributes:
        placement: of the stack.
        registers: by which set.
        times: of the time the tune sounds, how much of it is how strong; each above 0, to 1.
        as_plain: the top octave it would have were there no dynamics; None where its octave
            is named.
        by_other: the top octave it would have by the other set of registers; likewise.
    """

    placement: Placement
    registers: RegisterSet
    times: dict[Strength, float]
    as_plain: int | None = None
    by_other: int | None = None


def place_statement(
    stack: Stack,
    ensemble: Ensemble,
    stretches: Sequence[Stretch],
    registers: RegisterSet,
    condition: Condition | None,
) -> StatementPlaced:
    """Put a stack where it is best over all stretches of one statement.

    Args:
        stack: read with the same ensemble.
        ensemble: whose figures hold.
        stretches: of the tune.
        registers: by which set.
        condition: the layout's.

    Raises:
        Refused: it cannot be written anywhere.
    """
    heard = _heard(stretches)

    def placed(what: Heard, by: RegisterSet) -> Placement:
        repertory = measured_registers() if by == "measured" else None
        manner = Manner(condition, repertory)
        letters = partial(letter_octaves, stretches)
        return place(stack, ensemble, what, manner=manner, letters=letters)

    placement = placed(heard, registers)
    times = strength_times(heard)
    if stack.top_octave is not None or not heard.counts:
        return StatementPlaced(placement, registers, times)
    as_plain = placement
    if set(times) - {"plain"}:
        as_plain = placed(heard.as_plain(), registers)
    other = placed(heard, "singing" if registers == "measured" else "measured")
    return StatementPlaced(placement, registers, times, as_plain.top_octave, other.top_octave)


def place_accompaniment(
    stack: Stack, ensemble: Ensemble, stretches: Sequence[Stretch]
) -> Placement:
    """Put a stack of the accompaniment where it was sketched, or where it says.

    Args:
        stack: read with the same ensemble.
        ensemble: whose figures hold.
        stretches: one for all lines, or one for each.

    Raises:
        Refused: it cannot be written anywhere.
    """
    heard = [_heard([stretch]) for stretch in stretches]
    letters = partial(letter_octaves, stretches)
    return place_as_sketched(stack, ensemble, heard, letters)


def _heard(stretches: Sequence[Stretch]) -> Heard:
    soundings = [sounding for stretch in stretches for sounding in stretch.soundings]
    return hear(soundings, stretches[0].voice.strengths)


def strength_times(heard: Heard) -> dict[Strength, float]:
    """Of the time a tune sounds, how much is how strong, softest first; each above 0, to 1."""
    lengths = {name: sum(profile.values()) for name, profile in heard.profiles.items()}
    total = sum(lengths.values())
    return {name: lengths[name] / total for name in STRENGTHS if lengths.get(name)}


def letter_octaves(stretches: Sequence[Stretch]) -> tuple[int, int]:
    """The lowest and the highest octave that letters stand in."""
    octaves = {
        each.pitch.octave
        for stretch in stretches
        for sounding in stretch.soundings
        for bar, place in [where(stretch.voice, sounding.index)]
        for note in [notes_in(stretch.voice, bar)[place]]
        for each in (note, *note.chord)
        if each.pitch is not None
    }
    return min(octaves), max(octaves)
