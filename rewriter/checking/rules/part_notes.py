"""A part that has other notes than the score."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.against_parts import PartDiffers
from rewriter.checking.part_words import said_of
from rewriter.checking.rule import NONE, Parameters, Rule

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished


def find(score: Finished, _: Parameters) -> Iterator[PartDiffers]:
    """Runs of bars in which a part has other notes."""
    return (one for one in score.part_faults if isinstance(one, PartDiffers) and one.of_notes)


RULE = Rule(
    id="part-notes",
    title="part with other notes than the score",
    why="The section plays what is on its stands, and the conductor corrects what is in the "
    "score: a rehearsal is lost on notes that were right long ago.",
    instead="Extract the part again; if it is the part that is right, correct the score first.",
    source="common practice, no source",
    severity="error",
    about=PartDiffers,
    say=said_of,
    parameters=NONE,
    find=find,
    needs_parts=True,
)
