"""A tie that goes nowhere, or comes from nowhere."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.finished_lines import spelled
from rewriter.checking.open_ends import OpenTie, open_ties
from rewriter.checking.rule import NONE, Mend, Parameters, Rule, Said, Unmended

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished


def find(score: Finished, _: Parameters) -> Iterator[OpenTie]:
    """Ties with one end."""
    return open_ties(score)


def say(fact: OpenTie, at: Finished, _: Parameters) -> Said:
    """Say which end is missing."""
    sounds = spelled(fact.note)
    if fact.begins:
        said = f"a tie begins at {sounds} and no note takes it up"
        remedy = f"end it at the next {sounds}, or take it out"
    else:
        said = f"a tie ends at {sounds} and none began"
        remedy = f"begin it at the {sounds} before, or take it out"
    place = at.place(fact.part, fact.note.bar, fact.note.time, fact.note.form.voice)
    return Said(place, f"{said}; {remedy}", sounds)


def mend(score: Finished, fact: OpenTie, _: Parameters) -> Mend | Unmended:
    """Give it the other end, where one note only can have it."""
    if not score.players[fact.part].sections:
        return Unmended("the part is no string section's")
    other = fact.other
    if other is None:
        return Unmended("there is no one note of this pitch next to it")
    from rewriter.editing.edits import InBar, Replaced, bar_children
    from rewriter.editing.note_marks import with_tie

    where = InBar(fact.part, other.bar)
    note = bar_children(score.score, where)[other.event.place]
    tied = with_tie(note, "stop" if fact.begins else "start")
    what = f"{'end' if fact.begins else 'begin'} the tie at the {spelled(other)} beside it"
    return Mend(what, (Replaced(where, other.event.place, tied),))


RULE = Rule(
    id="open-tie",
    title="tie with one end",
    why="Programs play the note once or twice as they please, and players see a tie into "
    "nothing.",
    instead="Give the tie its other end, or take it out. Ties into second endings and over "
    "repeats are not meant, nor those that let a note ring.",
    source="W3C MusicXML 4.0, <tie> and <tied>",
    severity="warning",
    about=OpenTie,
    say=say,
    parameters=NONE,
    mends="certain",
    find=find,
    mend=mend,
)
