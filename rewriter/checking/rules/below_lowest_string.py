"""A note lower than the lowest string."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.limits import beyond_limits_in
from rewriter.checking.ranges import beyond_text, range_text
from rewriter.checking.rule import NONE, Mend, Parameters, Rule, Said, Unmended
from rewriter.placing.facts import NoteBeyond

if TYPE_CHECKING:
    from rewriter.checking.at import At
    from rewriter.checking.finished import Finished


def say(fact: NoteBeyond, at: At, _: Parameters) -> Said | None:
    """Say which note it is, and what the lowest string is."""
    if fact.where != "below the lowest string":
        return None
    section = fact.player.section
    sounds = at.name(fact.player, fact.note)
    text = (
        f"{beyond_text(section, sounds, fact.where)}; move it up or give it to a lower section"
    )
    return Said(at.note(fact.player, fact.note), text, sounds, range_text(section))


def mend(score: Finished, fact: NoteBeyond, _: Parameters) -> Mend | Unmended:
    """Put it an octave away, with the slur it is under."""
    from rewriter.checking.octaves import brought_into_range

    return brought_into_range(score, fact)


RULE = Rule(
    id="below-lowest-string",
    title="note below the lowest string",
    why="Nobody can play lower than the lowest open string.",
    instead="Move the note or its slur up, or give it to a lower section.",
    source="A. E. Johnstone, Instruments of the Modern Symphony Orchestra (1917), pp. 8-14, "
    "for the open strings; how far down basses go is in the ensemble file",
    severity="error",
    about=NoteBeyond,
    say=say,
    parameters=NONE,
    mends="certain",
    find=beyond_limits_in,
    mend=mend,
    runs=True,
)
