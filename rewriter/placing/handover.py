"""Handover: while a line is out of its section's register, another section has it.

The other takes it at the same sounding octave; nothing moves. Whole slurs (or bars, or what
lies between rests) are handed over, so that the seam lies where the music breathes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.placing.excursions import Asked, excursions
from rewriter.placing.facts import ReceiverBusy, ReceiverOutOfRange, RunHandedOver
from rewriter.placing.keeping import Reach, kept, with_joints
from rewriter.placing.seams import Excursion, Notes, looked_at
from rewriter.placing.strands import with_octaves
from rewriter.placing.tuplets import whole
from rewriter.rulefiles.stack_lines import Share
from rewriter.sketch.listening import left_of, notes_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.lines import Line
    from rewriter.placing.phrases import Breathing
    from rewriter.rulefiles.ensembles import Section
    from rewriter.rulefiles.layouts import Handover
    from rewriter.sketch.listening import Where

Told = RunHandedOver | ReceiverBusy | ReceiverOutOfRange


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
    facts: list[Told]


def hand_over(
    giver: Line,
    rule: Handover,
    receiver: Section,
    own: Sequence[Line],
    breathing: Breathing,
) -> HandedOver:
    """Hand the runs of a line that are past its limit to another section.

    Args:
        giver: the line.
        rule: its handover.
        receiver: who takes it.
        own: all the receiver plays in this stretch; what it has taken over already, it does
            not leave.
        breathing: where the piece breathes.
    """
    notes = looked_at(giver.voice, giver.soundings, breathing)
    asked = Asked(notes, 12 * giver.octave, giver.section, receiver, rule)
    found = excursions(asked)
    keeping = [line for line in own if line.taken_from or not rule.leave]
    busy = [one for one in found.passing if _is_busy(keeping, notes.times(one))]
    away = [one for one in found.passing if one not in busy]
    reach = _reach(asked, keeping, busy)
    away = kept(notes, away, reach)
    facts = [
        *(_fact(RunHandedOver, asked, giver, one) for one in away),
        *(_fact(ReceiverBusy, asked, giver, one) for one in busy),
        *(_fact(ReceiverOutOfRange, asked, giver, one) for one in found.staying),
    ]
    facts.sort(key=lambda fact: fact.first.index)
    if not away:
        return HandedOver(giver, None, list(own), facts)
    taken = _with_joints(notes, away, reach) if rule.dovetail else away
    times = [notes.times(one) for one in taken]
    return HandedOver(
        _without(giver, notes, away),
        _taken(giver, receiver, notes, taken),
        [_left(line, times) for line in own],
        facts,
    )


def _is_busy(lines: Sequence[Line], times: tuple[int, int]) -> bool:
    return any(_sounding_between(line, *times) for line in lines)


def _reach(asked: Asked, keeping: Sequence[Line], busy: Sequence[Excursion]) -> Reach:
    """What the receiver can play, where it keeps some lines and may leave the others."""
    notes, in_range, past = asked.notes, asked.in_range, set(asked.past)
    staying = {at for one in busy for at in range(one.first, one.last + 1)}
    return Reach(
        follows=lambda at: in_range[at] and at not in staying,
        inside=lambda at: at not in past,
        idle=lambda one: not _is_busy(keeping, notes.times(one)),
    )


def _with_joints(notes: Notes, away: Sequence[Excursion], reach: Reach) -> list[Excursion]:
    """Excursions with their joints; where two meet they are one."""
    taken: list[Excursion] = []
    for one in away:
        larger = with_joints(notes, one, reach)
        if taken and larger.first <= taken[-1].last:
            larger = Excursion(taken.pop().first, larger.last)
        taken.append(larger)
    return taken


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


def _without(giver: Line, notes: Notes, away: Sequence[Excursion]) -> Line:
    gone = {where for one in away for where in notes.places(one)}
    return giver._replace(
        plays=with_octaves(giver.plays, dict.fromkeys(sorted(gone))),
        soundings=left_of(giver.voice, giver.soundings, gone),
    )


def _taken(giver: Line, receiver: Section, notes: Notes, taken: Sequence[Excursion]) -> Line:
    """The receiver's line: the giver's notes in its excursions, at the giver's octave."""
    wanted = {where for one in taken for where in notes.places(one)}
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
        players=float(receiver.players),
        plays=plays,
        soundings=[giver.soundings[at] for one in taken for at in range(one[0], one[1] + 1)],
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


def _fact(kind: type[Told], asked: Asked, giver: Line, one: Excursion) -> Told:
    first, last = (
        giver.soundings[at]._replace(midi=giver.soundings[at].midi + asked.shift) for at in one
    )
    return kind(giver.player, asked.receiver, first, last, asked.rule)
