"""How often a placing finds the composer's octave, asked of tunes.

Of each tune the composer's own stack is placed without octave words. *At its pitch* the tune
is given where the composer has it: a rule that never moves anything would score 1.00 there, so
this only shows how much is moved without need. *An octave off* it is given an octave too high
and an octave too low, the mean of both: the figure that tells. Where registers are measured,
the composer who is asked is left out of what they are measured on.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from rewriter.placing.candidates import Manner
from rewriter.placing.octave import place
from tests.repertory.measuring import measure
from tests.repertory.tunes import Tune, composers, strings

WEIGHTS = (0.0, 0.2, 0.5)
"""For each octave from the tune, tried. Nothing finer, lest it be tuned to these tunes.

The rule by which one is chosen was written down before any was computed: the one with the
highest mean of the two figures, every tune counting once, the composer asked left out; of
equals the smallest. It takes a tune to be given where it belongs as often as not.
"""

Manners = Callable[[str], Manner]
"""How the tunes of a composer are placed."""


class Found(NamedTuple):
    """Shares of tunes for which the composer's octave was found, 0 to 1."""

    at_pitch: float
    octave_off: float

    @property
    def mean(self) -> float:
        """Of a tune that is given where it belongs as often as not."""
        return (self.at_pitch + self.octave_off) / 2


def singing(_composer: str) -> Manner:
    """By the registers in which sections sing."""
    return Manner()


def measured(tunes: Sequence[Tune], per_octave: float) -> Manners:
    """By registers measured on the tunes of everybody else."""
    tables = {
        name: measure([tune for tune in tunes if tune.composer != name], per_octave)
        for name in composers(tunes)
    }
    return lambda composer: Manner(repertory=tables[composer])


def measured_on_all(tunes: Sequence[Tune], per_octave: float) -> Manners:
    """By registers measured on all tunes, those that are asked among them."""
    table = measure(tunes, per_octave)
    return lambda _composer: Manner(repertory=table)


def asked(tunes: Sequence[Tune], manners: Manners) -> Found:
    """How often the composer's octave is found."""
    found = {off: sum(_finds(tune, off, manners) for tune in tunes) for off in (-1, 0, 1)}
    return Found(found[0] / len(tunes), (found[-1] + found[1]) / 2 / len(tunes))


def _finds(tune: Tune, off: int, manners: Manners) -> bool:
    manner = manners(tune.composer)
    placement = place(tune.stack(), strings(), tune.heard(off), manner=manner)
    return placement.top_octave + off == tune.top


def chosen_weight(tunes: Sequence[Tune]) -> float:
    """The weight that the rule of :data:`WEIGHTS` chooses."""
    means = {weight: asked(tunes, measured(tunes, weight)).mean for weight in WEIGHTS}
    return max(WEIGHTS, key=lambda weight: (round(means[weight], 4), -weight))
