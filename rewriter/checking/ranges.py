"""How notes out of range are spoken of, by the rules that do."""

from rewriter.checking.places import Places
from rewriter.checking.rule import Said
from rewriter.placing.facts import Beyond, BroughtBack
from rewriter.placing.limits import beyond
from rewriter.problems import beat_text
from rewriter.rulefiles.ensembles import Section
from rewriter.theory.pitch import name_of_midi


def range_text(section: Section) -> str:
    """A section's range by note names: ``G3 to E7``."""
    return f"{name_of_midi(section.low)} to {name_of_midi(section.high)}"


def beyond_text(section: Section, sounds: str, where: Beyond) -> str:
    """What is wrong with a note: ``F#7 is above the range (G3 to E7)``."""
    if where == "above the extreme":
        limit = name_of_midi(section.extreme)
    elif where == "below the lowest string":
        limit = name_of_midi(section.lowest)
    else:
        limit = range_text(section)
    return f"{sounds} is {where} ({limit})"


def octaves_text(shift: int) -> str:
    """How far notes are moved: ``2 octaves up``."""
    direction = "down" if shift < 0 else "up"
    return f"{'an octave' if abs(shift) == 1 else f'{abs(shift)} octaves'} {direction}"


def brought_back(fact: BroughtBack, at: Places, what: str) -> Said:
    """What was done to some notes, until when, and the first of them that was out of range.

    Args:
        fact: the notes.
        at: where they are.
        what: was done to them.
    """
    section = fact.player.section
    last = fact.notes[-1]
    if len(fact.notes) > 1:
        end = f"{at.bar_text(last.bar, fact.notes[0].bar)}, beat {beat_text(at.beat(last))}"
        what = f"{len(fact.notes)} notes to {end} {what}"
    cause = next(note for note in fact.notes if beyond(section, note.midi))
    sounds = at.name(fact.player, cause)
    where = beyond(section, cause.midi)
    why = f": {beyond_text(section, sounds, where)}" if where else ""
    place = at.note(fact.player, fact.notes[0])
    return Said(place, f"{what}{why}", sounds, range_text(section))
