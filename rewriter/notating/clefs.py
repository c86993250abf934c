"""Which clef a line is read in, and where violins read an octave down under 8va."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from rewriter.placing.fitness import Sounding
    from rewriter.rulefiles.ensembles import ClefUse, Section


class Group(NamedTuple):
    """Notes between which a clef never changes: a slurred group, or a bar's loose notes.

    Attributes:
        first: index of its first note in the tune's list.
        last: index of its last note.
        bar: index of the bar it begins in.
        onset: divisions from the start of that bar.
        last_bar: index of the bar its last note begins in.
        pitches: sounding MIDI number in the tune and divisions, note by note.
        lowest: lowest MIDI number in the tune.
        highest: highest MIDI number in the tune.
        may_change: True when a clef may stand before it: after a rest or the end of a
            slur, or at a barline.
    """

    first: int
    last: int
    bar: int
    onset: int
    last_bar: int
    pitches: tuple[tuple[float, int], ...]
    lowest: float
    highest: float
    may_change: bool


class ClefChange(NamedTuple):
    """A clef and the note it stands before; the first one begins the part.

    Attributes:
        note: index of the first note read in it.
        bar: index of the bar; 0 for the clef that begins the part.
        onset: divisions from the start of the bar; 0 for the clef that begins the part.
        clef: the ensemble file's entry.
    """

    note: int
    bar: int
    onset: int
    clef: "ClefUse"


def gather(notes: "Sequence[Sounding]", bar_starts: Sequence[int]) -> list[Group]:
    """Gather the tune's notes once, for all sections.

    Args:
        notes: the tune in order.
        bar_starts: where each bar begins, divisions from the start of the tune.
    """
    raise NotImplementedError


def leger_lines(midi: float, clef: "ClefUse") -> int:
    """How many leger lines a WRITTEN pitch needs: positive above the staff, negative below."""
    raise NotImplementedError


def plan_clefs(section: "Section", groups: Sequence[Group], octave: int) -> list[ClefChange]:
    """Choose clefs so that leger lines are few and changes rare."""
    raise NotImplementedError


def plan_ottava(
    section: "Section", groups: Sequence[Group], octave: int
) -> list[tuple[int, int]]:
    """Find the notes to read under 8va: first and last index, inclusive."""
    raise NotImplementedError
