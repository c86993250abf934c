"""A cello part that lies beyond its range wherever it is in the treble clef."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.limits import OldNotation, beyond_limits_in
from rewriter.checking.ranges import range_text
from rewriter.checking.rule import NONE, Parameters, Rule, Said

if TYPE_CHECKING:
    from rewriter.checking.finished import Finished


def say(fact: OldNotation, at: Finished, _: Parameters) -> Said:
    """Say how many notes lie beyond, and ask whether they are to sound lower."""
    sounds = at.name(fact.player, fact.note)
    notes = "a note is" if fact.notes == 1 else f"{fact.notes} notes are"
    text = (
        f"{notes} above the range ({range_text(fact.player.section)}), and never but in the "
        "treble clef; if this is the old notation, write it an octave lower, as it sounds"
    )
    return Said(at.note(fact.player, fact.note), text, sounds, range_text(fact.player.section))


RULE = Rule(
    id="old-cello-notation",
    title="cello in the old notation, it seems",
    why="In the nineteenth century the treble clef of a cello part was often read an octave "
    "lower. Copied as it stands, it looks like a part that nobody can play.",
    instead="Compare the passage with the bars around it, and put it an octave down if it was "
    "meant to sound there.",
    source="from memory; Beethoven's, Dvořák's and Bruckner's parts are often written so",
    severity="advice",
    about=OldNotation,
    say=say,
    parameters=NONE,
    find=beyond_limits_in,
)
