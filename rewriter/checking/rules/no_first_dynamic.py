"""A part that begins to play before it has been told a dynamic."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.entries import Entry, entries
from rewriter.checking.rule import NONE, Parameters, Rule, Said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished


def find(score: Finished, _: Parameters) -> Iterator[Entry]:
    """First entries of a movement with no dynamic that holds, on them or before them."""
    for part in score.of_sections:
        told = [one.time for one in score.loudness(part) if one.level]
        for entry in entries(score, part):
            # a dynamic often stands a little to the right of the note it is for
            end = max(entry.note.end, entry.note.time + score.reading.divisions // 2)
            if entry.first and not any(entry.since <= at < end for at in told):
                yield entry


def say(fact: Entry, at: Finished, _: Parameters) -> Said:
    """Say where it begins."""
    note = fact.note
    place = at.place(fact.part, note.bar, note.time, note.form.voice)
    text = "plays its first note before any dynamic; print one on it"
    return Said(place, text, wants="a dynamic on the first note")


RULE = Rule(
    id="no-first-dynamic",
    title="part without its first dynamic",
    why="Every player asks how loud to begin, or begins as he likes. A hairpin or an accent "
    "does not say it, and a dynamic some notes later is too late for the first take.",
    instead="Print a dynamic on the first note.",
    source="common practice, no source",
    severity="off",
    about=Entry,
    say=say,
    parameters=NONE,
    find=find,
)
