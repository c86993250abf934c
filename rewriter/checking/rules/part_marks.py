"""A part that has other marks than the score."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.against_parts import PartDiffers
from rewriter.checking.part_words import said_of
from rewriter.checking.rule import NONE, Parameters, Rule

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished


def find(score: Finished, _: Parameters) -> Iterator[PartDiffers]:
    """Runs of bars in which a part has other marks."""
    return (
        one for one in score.part_faults if isinstance(one, PartDiffers) and not one.of_notes
    )


RULE = Rule(
    id="part-marks",
    title="part with other marks than the score",
    why="Slurs, dynamics, words and rehearsal marks that stand in one of the two only are "
    "asked about at the rehearsal, stand by stand.",
    instead="Extract the part again; if it is the part that is right, correct the score first.",
    source="common practice, no source",
    severity="warning",
    about=PartDiffers,
    say=said_of,
    parameters=NONE,
    find=find,
    needs_parts=True,
)
