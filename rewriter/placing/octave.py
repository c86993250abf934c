"""Which octave a layout is put in: of all octaves, the one where every section sings."""

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from rewriter.placing.fitness import Counts, Profile
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.stack import Member, Stack


class PlacedLine(NamedTuple):
    """One line of a placed stack.

    Attributes:
        level: 0 for the top octave of the layout, counting down, empty octaves counted.
        member: the section, or part of one, as the stack names it.
        octave: whole octaves from the tune's sounding pitch.
        fitness: mean over the notes weighted by length; -10 to 1.
    """

    level: int
    member: "Member"
    octave: int
    fitness: float


class Placement(NamedTuple):
    """Where a stack was put, and why.

    Attributes:
        top_octave: whole octaves of the top line from the tune's sounding pitch.
        why: one sentence.
        runner_up: one sentence; empty when the stack is anchored.
        lines: every member of every level, top down.
    """

    top_octave: int
    why: str
    runner_up: str
    lines: list[PlacedLine]


def place(
    stack: "Stack", ensemble: "Ensemble", profile: "Profile", counts: "Counts"
) -> Placement:
    """Put a stack where it sounds best, or where it says."""
    raise NotImplementedError
