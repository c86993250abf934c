"""A note beyond what a section can be asked for."""

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
    """Say which note it is, and what the range is."""
    if fact.where not in {"above the range", "below the range"}:
        return None
    section = fact.player.section
    sounds = at.name(fact.player, fact.note)
    text = f"{beyond_text(section, sounds, fact.where)}; let the section leader judge"
    return Said(at.note(fact.player, fact.note), text, sounds, range_text(section))


def mend(score: Finished, fact: NoteBeyond, _: Parameters) -> Mend | Unmended:
    """Put it an octave away, with the slur it is under."""
    from rewriter.checking.octaves import brought_into_range

    return brought_into_range(score, fact)


RULE = Rule(
    id="beyond-range",
    title="note beyond the range",
    why="A section has players of many kinds. Beyond its range some of them play a note "
    "insecurely or out of tune, and all of them play it with strain.",
    instead="Move the note or its slur by an octave, hand the line over, or let the section "
    "leader judge.",
    source="the ensemble file; its figures are the consensus of Rimsky-Korsakov (1922), "
    "Johnstone (1917), Prout (1899) and Widor (1906)",
    severity="warning",
    about=NoteBeyond,
    say=say,
    parameters=NONE,
    mends="certain",
    find=beyond_limits_in,
    mend=mend,
    runs=True,
)
