"""Notes that only basses with an extension or a fifth string have."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.limits import NeedsExtension, beyond_limits_in
from rewriter.checking.rule import NONE, Parameters, Rule, Said
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from rewriter.checking.finished import Finished


def say(fact: NeedsExtension, at: Finished, _: Parameters) -> Said:
    """Say how many there are."""
    sounds = at.name(fact.player, fact.note)
    lowest = name_of_midi(fact.player.section.lowest)
    notes = "a note is" if fact.notes == 1 else f"{fact.notes} notes are"
    text = (
        f"{notes} below the lowest of four strings ({lowest}), {sounds} the first; let the "
        "section leader say who has an extension or a fifth string"
    )
    return Said(at.note(fact.player, fact.note), text, sounds, f"{lowest} or above")


RULE = Rule(
    id="needs-extension",
    title="bass notes for an extension or a fifth string",
    why="Basses with four strings end at E1; some have an extension to C1 or a fifth string. "
    "Who has neither plays such notes an octave higher, as basses always have where they read "
    "the cellos' line.",
    instead="Let the section leader say who plays what. If all of the section reach lower, say "
    "so in the ensemble file (lowest) or in the part.",
    source="the ensemble file for the lowest string; the practice from memory",
    severity="advice",
    about=NeedsExtension,
    say=say,
    parameters=NONE,
    find=beyond_limits_in,
)
