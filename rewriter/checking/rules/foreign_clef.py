"""Notes in a clef that their section does not read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.checking.clefs_read import InClef, clef_named, use_of
from rewriter.checking.rule import NONE, Mend, Parameters, Rule, Said, Unmended

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished

_SIGNS: Final = frozenset("GFC")


def find(score: Finished, _: Parameters) -> Iterator[InClef]:
    """Stretches of notes in a clef that is not one of the section's."""
    for part in score.of_sections:
        sections = score.players[part].sections
        for stretch in score.in_clefs(part) if len(sections) == 1 else ():
            if stretch.clef.sign in _SIGNS and use_of(stretch.clef, sections[0]) is None:
                yield stretch


def say(fact: InClef, at: Finished, _: Parameters) -> Said:
    """Say which clef it is, and which there are."""
    section, note = at.players[fact.part].sections[0], fact.notes[0]
    own = " or ".join(use.clef for use in section.clefs)
    place = at.place(fact.part, note.bar, note.time, note.form.voice)
    text = f"stands in the {clef_named(fact.clef)}, which the section does not read"
    return Said(place, f"{text}; write it in the {own} clef", wants=f"{own} clef")


def mend(score: Finished, fact: InClef, _: Parameters) -> Mend | Unmended:
    """Put one of the section's clefs in its place."""
    from rewriter.checking.clefs_changed import clef_replaced

    return clef_replaced(score, fact)


RULE = Rule(
    id="foreign-clef",
    title="clef that the section does not read",
    why="Nobody sight-reads in a clef that is not his own.",
    instead="Write it in a clef of the section.",
    source="which clefs: A. E. Johnstone, Instruments of the Modern Symphony Orchestra (1917), "
    "pp. 8-14",
    severity="warning",
    about=InClef,
    say=say,
    parameters=NONE,
    mends="certain",
    find=find,
    mend=mend,
)
