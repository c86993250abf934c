"""Where one passage follows another within a bar: who still holds a note of the first.

A note begun before the border is played to its end. Until then its players cannot begin
something else, so the first notes of the new line are left out, and that is told. Players are
counted: where half a section holds a note, the other half is free.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.placing.facts import BegunLate
from rewriter.placing.strands import with_octaves
from rewriter.placing.tuplets import beginnings, whole
from rewriter.rulefiles.stack_lines import PLAYERS_AT_A_DESK
from rewriter.sketch.listening import left_of, notes_in

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from rewriter.placing.lines import Line
    from rewriter.sketch.listening import Where
    from rewriter.theory.time import Moment

_PARTS: Final = 60
"""Of a player, to count in: halves, thirds and the like of a section need not be whole."""


def held_over(
    before: Sequence[Line], after: Sequence[Line], border: Moment
) -> tuple[list[Line], list[BegunLate]]:
    """The lines behind a border without the notes for which nobody is free yet.

    Args:
        before: lines of the passages before the border that reach into its bar.
        after: lines of the passage that begins there.
        border: between them.
    """
    late: dict[int, list[Where]] = {}
    for section in {line.section.key for line in before}:
        busy = _busy_until([line for line in before if line.section.key == section], border.bar)
        mine = [at for at, line in enumerate(after) if line.section.key == section]
        for at, end in zip(mine, _free_from([after[at] for at in mine], busy), strict=True):
            late[at] = _waiting(after[at], border, end)
    lines, facts = list(after), []
    for at in sorted(late):
        if late[at]:
            line = lines[at]
            lines[at] = _without(line, late[at])
            count = len(line.soundings) - len(lines[at].soundings)
            facts.append(BegunLate(line.player, border.bar, count))
    return lines, facts


def _busy_until(lines: Sequence[Line], bar: int) -> list[int]:
    """For every part of every player of a section, until when in a bar he holds a note."""
    busy = [0] * (_PARTS * lines[0].section.players)
    ends = [(_end_of_last(line, bar), line) for line in lines]
    for end, line in sorted(ends, key=lambda each: (not _named(each[1]), each[0])):
        for player in _players(line, busy, range(len(busy))):
            busy[player] = max(busy[player], end)
    return busy


def _free_from(lines: Sequence[Line], busy: Sequence[int]) -> list[int]:
    """For each line of a section from when its players are free; nobody plays two."""
    free: dict[int, int] = {}
    idle = set(range(len(busy)))
    for at in sorted(range(len(lines)), key=lambda at: not _named(lines[at])):
        line = lines[at]
        players = _players(line, busy, idle or range(len(busy)))
        free[at] = max(busy[player] for player in players)
        if not line.taken_from:
            idle.difference_update(players)
    return [free[at] for at in range(len(lines))]


def _named(line: Line) -> Sequence[int]:
    """The players of whom it is said who they are: those of a desk, and who plays alone."""
    share = line.share
    first, last = PLAYERS_AT_A_DESK * (share.first - 1), PLAYERS_AT_A_DESK * share.last
    if share.kind == "solo":
        first, last = 0, 1
    elif share.kind not in {"desk", "desks"}:
        return range(0)
    return range(_PARTS * first, _PARTS * min(last, line.section.players))


def _players(line: Line, busy: Sequence[int], among: Collection[int]) -> Sequence[int]:
    """Who plays a line: those named, or who is free first, of equals the last desks."""
    named = _named(line)
    if named:
        return named
    count = max(round(_PARTS * line.players), 1)
    return sorted(among, key=lambda player: (busy[player], -player))[:count]


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
