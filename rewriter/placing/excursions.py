"""Excursions: where a line leaves its section's register, and how far that is to be taken.

What is past the limit is widened to whole slurs (or bars, or what lies between rests), as far
as the receiver can follow, and what lies closer together than a bar is one excursion.
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from rewriter.placing.limits import beyond
from rewriter.placing.seams import (
    Excursion,
    Notes,
    at_barline,
    closer_than_a_bar,
    is_seam,
    with_tuplets,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.rulefiles.ensembles import Section
    from rewriter.rulefiles.layouts import Handover


class Found(NamedTuple):
    """Where a line is past its limit.

    Attributes:
        passing: what another section can play, widened.
        staying: what that section can play less well than the giver.
    """

    passing: list[Excursion]
    staying: list[Excursion]


class Asked(NamedTuple):
    """A line of which something is to pass to another section.

    Attributes:
        notes: of the line.
        shift: semitones from its soundings to the line.
        giver: whose line it is.
        receiver: who takes what is past the limit.
        rule: the handover.
    """

    notes: Notes
    shift: int
    giver: Section
    receiver: Section
    rule: Handover

    @property
    def past(self) -> list[int]:
        """The notes past the limit."""
        rule, shift = self.rule, self.shift
        return [
            at
            for at, sounding in enumerate(self.notes.soundings)
            if (rule.above is not None and sounding.midi + shift > rule.above)
            or (rule.below is not None and sounding.midi + shift < rule.below)
        ]

    @property
    def in_range(self) -> list[bool]:
        """For each note whether it lies in the receiver's range."""
        receiver = self.receiver
        return [
            receiver.low <= sounding.midi + self.shift <= receiver.high
            for sounding in self.notes.soundings
        ]

    def better_left(self, at: int) -> bool:
        """True for a note the receiver can play less well than the giver."""
        midi = self.notes.soundings[at].midi + self.shift
        return _fault(self.receiver, midi) > _fault(self.giver, midi)


def excursions(asked: Asked) -> Found:
    """Where a line is past its handover's limit: widened, and joined where closer than a bar.

    What is added lies in the receiver's range. A tuplet goes whole, or stays.
    """
    notes, allowed = asked.notes, asked.in_range
    past = asked.past
    known = frozenset(past)
    staying = {at for at in past if asked.better_left(at)}
    found: list[Excursion] = []
    for core in _cores(notes, [at for at in past if at not in staying], asked.rule.at, allowed):
        one = with_tuplets(notes, _reached(notes, core, asked.rule.at, allowed))
        taken = range(one.first, one.last + 1)
        if any(at in staying or not (allowed[at] or at in known) for at in taken):
            staying |= known.intersection(taken)
        elif found and _are_one(notes, found[-1], one, allowed):
            found[-1] = Excursion(found[-1].first, max(one.last, found[-1].last))
        else:
            found.append(one)
    return Found(found, _runs(sorted(staying)))


def _fault(section: Section, midi: float) -> int:
    """How badly a note lies: 0 in range, 1 beyond it, 2 out of reach."""
    where = beyond(section, midi)
    if where is None:
        return 0
    return 1 if where in {"above the range", "below the range"} else 2


def _cores(
    notes: Notes, past: Sequence[int], how: str, allowed: Sequence[bool]
) -> list[Excursion]:
    """From the first note past the limit to the last, of those that are widened together."""
    cores: list[Excursion] = []
    for at in past:
        last = cores[-1].last if cores else at
        between = range(last, at)
        if (
            cores
            and all(_together(notes, each, how) for each in between)
            and all(allowed[each] for each in between[1:])
        ):
            cores[-1] = Excursion(cores[-1].first, at)
        else:
            cores.append(Excursion(at, at))
    return cores


def _reached(notes: Notes, core: Excursion, how: str, allowed: Sequence[bool]) -> Excursion:
    """A core widened as far as its notes belong together and the receiver can follow."""
    first, last = core
    while first > 0 and _together(notes, first - 1, how) and allowed[first - 1]:
        first -= 1
    if first > 0 and _together(notes, first - 1, how):
        joins = (at for at in range(first, core.first) if is_seam(notes, at - 1))
        first = next(joins, core.first)
    highest = len(notes.soundings) - 1
    while last < highest and _together(notes, last, how) and allowed[last + 1]:
        last += 1
    if last < highest and _together(notes, last, how):
        joins = (at for at in range(last, core.last, -1) if is_seam(notes, at))
        last = next(joins, core.last)
    return Excursion(first, last)


def _together(notes: Notes, at: int, how: str) -> bool:
    """True when no seam lies between a note and the next."""
    before, after = notes.soundings[at : at + 2]
    if notes.bound[at]:
        return True
    if how == "slur":
        return before.group == after.group >= 0
    if how == "bar":
        return not at_barline(notes, at)
    return notes.ends[at] >= after.start or before.group == after.group >= 0


def _are_one(
    notes: Notes, before: Excursion, after: Excursion, allowed: Sequence[bool]
) -> bool:
    """True when less than a bar lies between, and the receiver can play on through it."""
    return after.first <= before.last or (
        closer_than_a_bar(notes, before.last, after.first)
        and all(allowed[before.last + 1 : after.first])
    )


def _runs(places: Sequence[int]) -> list[Excursion]:
    """Neighbours among notes as one."""
    runs = []
    for _, run in groupby(enumerate(places), key=lambda each: each[1] - each[0]):
        found = [at for _, at in run]
        runs.append(Excursion(found[0], found[-1]))
    return runs
