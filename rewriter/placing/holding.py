"""Where one passage follows another within a bar: who still holds a note of the first.

A note begun before the border is played to its end. Until then its players cannot begin
something else, so the first notes of the new line are left out, and that is told.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.placing.facts import BegunLate
from rewriter.placing.strands import with_octaves
from rewriter.placing.tuplets import beginnings, whole
from rewriter.sketch.listening import left_of, notes_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.lines import Line
    from rewriter.sketch.listening import Where
    from rewriter.theory.time import Moment


def held_over(
    before: Sequence[Line], after: Sequence[Line], border: Moment
) -> tuple[list[Line], list[BegunLate]]:
    """The lines behind a border without the notes for which nobody is free yet.

    Args:
        before: lines of the passages before the border that reach into its bar.
        after: lines of the passage that begins there.
        border: between them.
    """
    free: dict[str, int] = {}
    for line in before:
        key = line.section.key
        free[key] = max(free.get(key, 0), _end_of_last(line, border.bar))
    lines, facts = [], []
    for line in after:
        late = _waiting(line, border, free.get(line.section.key, 0))
        if late:
            count = len(line.soundings)
            line = _without(line, late)  # noqa: PLW2901 - the same line, later
            count -= len(line.soundings)
            facts.append(BegunLate(line.player, border.bar, count))
        lines.append(line)
    return lines, facts


def _end_of_last(line: Line, bar: int) -> int:
    """Where a line's last note in a bar ends; a tuplet ends with its rests."""
    play = line.plays.get(bar)
    if play is None:
        return 0
    notes = notes_in(play.voice, bar)
    played = [
        (bar, place)
        for place, (note, octave) in enumerate(zip(notes, play.per_note(bar), strict=True))
        if octave is not None and note.pitch is not None
    ]
    ends = [notes[place].onset + notes[place].length for _, place in whole(play.voice, played)]
    return max(ends, default=0)


def _waiting(line: Line, border: Moment, end: int) -> list[Where]:
    """The notes of a line that begin behind a border and before a moment of its bar.

    A tuplet waits as a whole, even if it begins with a rest.
    """
    bar, onset = border
    play = line.plays.get(bar)
    if play is None:
        return []
    begun = beginnings(play.voice, bar)
    notes = zip(notes_in(play.voice, bar), play.per_note(bar), strict=True)
    late = [
        (bar, place)
        for place, (note, octave) in enumerate(notes)
        if octave is not None
        and (note.pitch is not None or begun.count(begun[place]) > 1)
        and onset <= note.onset < end
    ]
    return whole(play.voice, late)


def _without(line: Line, late: Sequence[Where]) -> Line:
    return line._replace(
        plays=with_octaves(line.plays, dict.fromkeys(late)),
        soundings=left_of(line.voice, line.soundings, late),
    )
