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
    notes, past = asked.notes, asked.past
    staying = {at for at in past if asked.better_left(at)}
    passing = set(past) - staying
    can = [in_range or at in passing for at, in_range in enumerate(asked.in_range)]
    found: list[Excursion] = []
    for at in sorted(passing):
        if found and at <= found[-1].last:
            continue
        one = with_tuplets(notes, _reached(notes, at, asked.rule.at, can))
        taken = range(one.first, one.last + 1)
        if not all(can[each] for each in taken):
            staying |= passing.intersection(taken)
        elif found and _are_one(notes, found[-1], one, can):
            found[-1] = Excursion(found[-1].first, one.last)
        else:
            found.append(one)
    return Found(found, _runs(sorted(staying)))


def _fault(section: Section, midi: float) -> int:
    """How badly a note lies: 0 in range, 1 beyond it, 2 out of reach."""
    where = beyond(section, midi)
    if where is None:
        return 0
    return 1 if where in {"above the range", "below the range"} else 2


def _reached(notes: Notes, at: int, how: str, can: Sequence[bool]) -> Excursion:
    """A note with what belongs together with it, as far as the receiver can follow."""
    first = last = at
    while first > 0 and _together(notes, first - 1, how) and can[first - 1]:
        first -= 1
    if first > 0 and _together(notes, first - 1, how):
        first = next((n for n in range(first, at) if is_seam(notes, n - 1)), at)
    highest = len(notes.soundings) - 1
    while last < highest and _together(notes, last, how) and can[last + 1]:
        last += 1
    if last < highest and _together(notes, last, how):
        last = next((n for n in range(last, at, -1) if is_seam(notes, n)), at)
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


def _are_one(notes: Notes, before: Excursion, after: Excursion, can: Sequence[bool]) -> bool:
    """True when less than a bar lies between, and the receiver can play on through it."""
    return after.first <= before.last or (
        closer_than_a_bar(notes, before.last, after.first)
        and all(can[before.last + 1 : after.first])
    )


def _runs(places: Sequence[int]) -> list[Excursion]:
    """Neighbours among notes as one."""
    runs = []
    for _, run in groupby(enumerate(places), key=lambda each: each[1] - each[0]):
        found = [at for _, at in run]
        runs.append(Excursion(found[0], found[-1]))
    return runs
