"""Handover: while a line is out of its section's register, another section has it.

The other takes it at the same sounding octave; nothing moves. Whole slurs (or bars, or what
lies between rests) are handed over, so that the seam lies where the music breathes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.placing.excursions import excursions, joints, time_of
from rewriter.placing.facts import ReceiverBusy, RunHandedOver
from rewriter.placing.strands import with_octaves
from rewriter.placing.tuplets import whole
from rewriter.rulefiles.stack_lines import Share
from rewriter.sketch.listening import left_of, notes_in, notes_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.excursions import Excursion
    from rewriter.placing.lines import Line
    from rewriter.rulefiles.ensembles import Section
    from rewriter.rulefiles.layouts import Handover
    from rewriter.sketch.listening import Where


class HandedOver(NamedTuple):
    """What became of a handover.

    Attributes:
        giver: the line, resting while it is away.
        taken: what the receiver plays of it; None where nothing is handed over.
        left: the receiver's own lines, resting meanwhile.
        facts: one a run, handed over or not.
    """

    giver: Line
    taken: Line | None
    left: list[Line]
    facts: list[RunHandedOver | ReceiverBusy]


def hand_over(
    giver: Line, rule: Handover, receiver: Section, own: Sequence[Line]
) -> HandedOver:
    """Hand the runs of a line that are past its limit to another section.

    Args:
        giver: the line.
        rule: its handover.
        receiver: who takes it.
        own: all the receiver plays in this stretch; what it has taken over already, it does
            not leave.
    """
    shift = 12 * giver.octave
    facts: list[RunHandedOver | ReceiverBusy] = []
    away: list[Excursion] = []
    for one in excursions(giver.voice, giver.soundings, shift, rule, receiver):
        times = _times(giver, one)
        busy = any(
            _sounding_between(line, *times) for line in own if line.taken_from or not rule.leave
        )
        facts.append(_fact(giver, rule, receiver, one, busy=busy))
        if not busy:
            away.append(one)
    if not away:
        return HandedOver(giver, None, list(own), facts)
    taken = [_times(giver, one) for one in away]
    return HandedOver(
        _without(giver, away, keep_joints=rule.dovetail),
        _taken(giver, receiver, away),
        [_left(line, taken) for line in own],
        facts,
    )


def _times(giver: Line, one: Excursion) -> tuple[int, int]:
    """From when to when an excursion lasts, the rests behind it included."""
    begin, end = time_of(giver.voice, _notes_of(giver, one))
    return begin, max(end, begin + 1)


def _sounding_between(line: Line, begin: int, end: int) -> list[Where]:
    """The notes of a line that sound between two times, begun before or not."""
    timeline = line.voice.timeline
    found = []
    for bar in range(timeline.moment(begin).bar, timeline.ending(end).bar + 1):
        play = line.plays.get(bar)
        if play is None:
            continue
        notes = zip(notes_in(play.voice, bar), play.per_note(bar), strict=True)
        since = timeline.starts[bar]
        found += [
            (bar, place)
            for place, (note, octave) in enumerate(notes)
            if octave is not None
            and note.pitch is not None
            and since + note.onset < end
            and since + note.onset + max(note.length, 1) > begin
        ]
    return found


def _notes_of(giver: Line, one: Excursion) -> list[Where]:
    """Every note of an excursion, the rests of its tuplets included."""
    return whole(giver.voice, notes_of(giver.voice, giver.soundings, *one))


def _without(giver: Line, away: Sequence[Excursion], *, keep_joints: bool) -> Line:
    gone: set[Where] = set()
    for one in away:
        notes = set(_notes_of(giver, one))
        if keep_joints:
            for joint in joints(giver.voice, giver.soundings, one):
                notes -= set(_notes_of(giver, joint))
        gone |= notes
    return giver._replace(
        plays=with_octaves(giver.plays, dict.fromkeys(sorted(gone))),
        soundings=left_of(giver.voice, giver.soundings, gone),
    )


def _taken(giver: Line, receiver: Section, away: Sequence[Excursion]) -> Line:
    """The receiver's line: the giver's notes in its excursions, at the giver's octave."""
    wanted = {where for one in away for where in _notes_of(giver, one)}
    plays = {}
    for bar in sorted({bar for bar, _ in wanted} & giver.plays.keys()):
        play = giver.plays[bar]
        octaves = tuple(
            octave if (bar, place) in wanted else None
            for place, octave in enumerate(play.per_note(bar))
        )
        as_a_whole = all(octave == play.octave for octave in octaves)
        plays[bar] = play._replace(octaves=None if as_a_whole else octaves, change="")
    return giver._replace(
        section=receiver,
        share=Share(),
        strength=float(receiver.strength),
        plays=plays,
        soundings=[giver.soundings[at] for one in away for at in range(one[0], one[1] + 1)],
        taken_from=giver.label,
    )


def _left(own: Line, times: Sequence[tuple[int, int]]) -> Line:
    """A line of the receiver's own, silent as long as it plays what it has taken."""
    sounding = [where for begin, end in times for where in _sounding_between(own, begin, end)]
    silenced = whole(own.voice, sounding)
    if not silenced:
        return own
    return own._replace(
        plays=with_octaves(own.plays, dict.fromkeys(silenced)),
        soundings=left_of(own.voice, own.soundings, silenced),
    )


def _fact(
    giver: Line, rule: Handover, receiver: Section, one: Excursion, *, busy: bool
) -> RunHandedOver | ReceiverBusy:
    shift = 12 * giver.octave
    first, last = (
        giver.soundings[at]._replace(midi=giver.soundings[at].midi + shift)
        for at in (one.first, one.last)
    )
    kind = ReceiverBusy if busy else RunHandedOver
    return kind(giver.player, receiver, first, last, rule)
