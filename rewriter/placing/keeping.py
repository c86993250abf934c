"""How long a receiver keeps what it has been handed, and where both play the joining note.

A line comes back for two bars at least, or with a new phrase. Otherwise the receiver plays on
to the end of the phrase, so that nobody comes in for a closing note.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.placing.phrases import ends_phrase
from rewriter.placing.seams import (
    Excursion,
    Notes,
    bars_between,
    closer_than_a_bar,
    is_seam,
    with_tuplets,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

LEAST_BARS_BACK: Final = 2
"""For which a line comes back in the middle of a phrase. Common practice, no source."""


class Reach(NamedTuple):
    """What a receiver can play of a line.

    Attributes:
        follows: True for a note in its range that is not to stay with the giver.
        inside: True for a note inside the giver's limit.
        idle: True when nothing of its own sounds meanwhile that it may not leave.
    """

    follows: Callable[[int], bool]
    inside: Callable[[int], bool]
    idle: Callable[[Excursion], bool]

    def plays(self, at: int) -> bool:
        """True for a note it can play on through."""
        return self.follows(at) and self.idle(Excursion(at, at))

    def joins(self, at: int) -> bool:
        """True for a note in which it can meet the giver."""
        return self.inside(at) and self.plays(at)


def kept(notes: Notes, away: Sequence[Excursion], receiver: Reach) -> list[Excursion]:
    """Excursions that last to where the giver comes back for long enough.

    Args:
        notes: of the line.
        away: in order, apart from each other.
        receiver: what it can play on through.
    """
    longer: list[Excursion] = []
    now = None
    since = [0, *(one.last + 1 for one in away)]
    for at in range(len(away) - 1, -1, -1):
        opened = _with_upbeat(notes, away[at], since[at], receiver)
        now = _kept(notes, opened, now.first if now else len(notes.soundings), receiver)
        if longer and _are_one(notes, now, longer[-1], receiver):
            now = Excursion(now.first, longer.pop().last)
        longer.append(now)
    return longer[::-1]


def _with_upbeat(notes: Notes, one: Excursion, since: int, receiver: Reach) -> Excursion:
    """An excursion with the note of less than a beat that opens its phrase.

    Args:
        notes: of the line.
        one: the excursion.
        since: the first note behind the excursion before.
        receiver: see :func:`kept`.
    """
    upbeat = one.first - 1
    if upbeat < since or ends_phrase(notes, upbeat):
        return one
    sounding = notes.soundings[upbeat]
    opens = upbeat == 0 or ends_phrase(notes, upbeat - 1)
    if not opens or sounding.length >= notes.breathing.beats[sounding.bar]:
        return one
    longer = with_tuplets(notes, Excursion(upbeat, one.last))
    goes = all(map(receiver.follows, range(longer.first, one.first))) and receiver.idle(longer)
    return longer if goes and longer.first >= since and longer.last == one.last else one


def _kept(notes: Notes, one: Excursion, until: int, receiver: Reach) -> Excursion:
    """An excursion with what the giver would come back for too briefly.

    Args:
        notes: of the line.
        one: the excursion.
        until: the first note that is away again, or how many there are.
        receiver: see :func:`kept`.
    """
    back = one.last + 1
    if back >= until or ends_phrase(notes, one.last):
        return one
    end = _too_soon(notes, back, until)
    if end is None:
        return one
    blocked = next((at for at in range(back, end + 1) if not receiver.plays(at)), None)
    ends = [end] if blocked is None else _joins(notes, back, blocked, end)
    for last in ends:
        longer = with_tuplets(notes, Excursion(one.first, last))
        if longer.last < until and (
            all(map(receiver.follows, range(back, longer.last + 1))) and receiver.idle(longer)
        ):
            return longer
    return one


def _too_soon(notes: Notes, back: int, until: int) -> int | None:
    """The last note the giver would play if that is too little; None where it is enough."""
    begin, timeline = notes.soundings[back].start, notes.voice.timeline
    least = LEAST_BARS_BACK * timeline.length(timeline.moment(begin).bar)
    for at in range(back, until):
        # What lasts less than bars as long as the first is no more in longer ones.
        long = notes.ends[at] - begin >= least
        if long and bars_between(notes, back, at) >= LEAST_BARS_BACK:
            return None
        if ends_phrase(notes, at):
            return at
    return until - 1


def _joins(notes: Notes, back: int, blocked: int, end: int) -> list[int]:
    """Where the giver can come back before a note the receiver cannot play, latest first.

    At the end of a slur or at a barline under none, and only where at least a bar is left to
    it: else it had better come back at once.
    """
    group = [sounding.group for sounding in notes.soundings[: blocked + 1]]
    return [
        at
        for at in range(blocked - 1, back - 1, -1)
        if is_seam(notes, at)
        and not group[at] == group[at + 1] >= 0
        and bars_between(notes, at + 1, end) >= 1
    ]


def _are_one(notes: Notes, one: Excursion, other: Excursion, receiver: Reach) -> bool:
    """True when the receiver plays on from one excursion to another."""
    both = Excursion(one.first, other.last)
    return closer_than_a_bar(notes, one.last, other.first) and (
        all(map(receiver.follows, range(one.last + 1, other.first))) and receiver.idle(both)
    )


def with_joints(notes: Notes, one: Excursion, receiver: Reach) -> Excursion:
    """An excursion with the notes in which giver and receiver meet, going out and coming back.

    The giver plays them as its last and its first; there is none where the line breathes.

    Args:
        notes: of the line.
        one: the excursion.
        receiver: what it can play.

    Source: N. Rimsky-Korsakov, Principles of Orchestration, p. 107: the last note of one is
    the first of the next.
    """
    first, last = one
    if first > 0 and _goes_on(notes, first - 1):
        first -= 1
    if _goes_on(notes, last):
        last += 1
    before = with_tuplets(notes, Excursion(first, one.last))
    behind = with_tuplets(notes, Excursion(one.first, last))
    return Excursion(
        before.first if all(map(receiver.joins, range(before.first, one.first))) else one.first,
        behind.last
        if all(map(receiver.joins, range(one.last + 1, behind.last + 1)))
        else one.last,
    )


def _goes_on(notes: Notes, at: int) -> bool:
    """True when a line goes on behind a note without a breath or a rest."""
    return not ends_phrase(notes, at) and notes.ends[at] >= notes.soundings[at + 1].start
