"""What a section can be asked to play: every note against range and extreme."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from rewriter.placing.fitness import Sounding
    from rewriter.problems import Finding
    from rewriter.rulefiles.ensembles import Section
    from rewriter.rulefiles.layouts import Condition

Beyond = Literal[
    "above the range", "below the range", "above the extreme", "below the lowest string"
]
Describe = Callable[["Sounding"], tuple[str, str, str]]
"""Gives printed bar, beat and pitch name of a note whose midi is that of the line."""


class Relief(NamedTuple):
    """What is done about notes out of range.

    Attributes:
        first: index into the notes given.
        last: index into the notes given, inclusive.
        shift: octaves added to the line's own; None where it rests.
    """

    first: int
    last: int
    shift: int | None


class PlayedLine(NamedTuple):
    """A line as the layout's condition sees it."""

    section: "Section"
    label: str
    notes: "Sequence[Sounding]"
    octave: int


def beyond(section: "Section", midi: float) -> Beyond | None:
    """Say where a sounding pitch lies when it is outside a section's range."""
    raise NotImplementedError


def check_line(
    section: "Section",
    label: str,
    notes: "Sequence[Sounding]",
    octave: int,
    describe: Describe,
) -> "list[Finding]":
    """Compare every note of a line with range and extreme."""
    raise NotImplementedError


def relieve(
    section: "Section",
    notes: "Sequence[Sounding]",
    octave: int,
    policy: Literal["octave", "rest"],
) -> list[Relief]:
    """Find what to move by octaves, or to silence, so that a line stays in range."""
    raise NotImplementedError


def relieved(notes: "Sequence[Sounding]", reliefs: Sequence[Relief]) -> "list[Sounding]":
    """The notes that are left, moved ones at their new pitch (still without the octave)."""
    raise NotImplementedError


def relieved_findings(
    section: "Section",
    label: str,
    notes: "Sequence[Sounding]",
    octave: int,
    reliefs: Sequence[Relief],
    describe: Describe,
) -> "list[Finding]":
    """Report each relief at its first note."""
    raise NotImplementedError


def check_condition(
    condition: "Condition", lines: Sequence[PlayedLine], describe: Describe
) -> "list[Finding]":
    """Compare the lines with what the treatise asks of this layout; at most one per key."""
    raise NotImplementedError
