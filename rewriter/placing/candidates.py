"""A stack at one octave: how each line fares there, and each of its levels."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import msgspec

from rewriter.placing.fitness import DECIMALS, line_fitness, never_carries, whole_profile
from rewriter.placing.limits import notes_outside
from rewriter.placing.usual import usual_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.fitness import Counts, Heard, Profile
    from rewriter.placing.limits import Outside
    from rewriter.rulefiles.ensembles import Ensemble, Section
    from rewriter.rulefiles.layouts import Bound, Condition
    from rewriter.rulefiles.repertory import Repertory
    from rewriter.rulefiles.stack_lines import Member, Stack

SHOWN = 2
"""Decimals by which levels are compared: what no report shows decides nothing."""

GOOD_ENOUGH = 0.4
"""A layout's condition is heard only in octaves in which every level is at least so good
(common practice, no source)."""


GOOD = 0.9
"""From here on levels are equally good (common practice, no source)."""


class Manner(msgspec.Struct, frozen=True):
    """By what a stack is placed, besides the ranges of its sections.

    Attributes:
        condition: the layout's, which a treatise asks for.
        repertory: as composers did; None for the registers in which sections sing.
        stays: True where it stays where it was sketched, range permitting.
    """

    condition: Condition | None = None
    repertory: Repertory | None = None
    stays: bool = False


class StackLine(msgspec.Struct, frozen=True):
    """One line of a stack before it has an octave.

    Attributes:
        level: 0 for the top octave of the layout, counting down, empty octaves counted.
        member: the section, or part of one, as the stack names it.
        section: whose figures hold.
        players: how many play it.
        heard: what it plays, at its own pitch.
        levels: how many octaves of the layout are played.
    """

    level: int
    member: Member
    section: Section
    players: float
    heard: Heard
    levels: int


class PlacedLine(msgspec.Struct, frozen=True):
    """One line of a placed stack.

    Attributes:
        level: 0 for the top octave of the layout, counting down, empty octaves counted.
        member: the section, or part of one, as the stack names it.
        octave: whole octaves from the tune's sounding pitch.
        fitness: mean over the notes weighted by length; -10 to 1.
    """

    level: int
    member: Member
    octave: int
    fitness: float


class PlacedLevel(msgspec.Struct, frozen=True):
    """Lines that share an octave.

    Attributes:
        lines: where they are to be found among those of the stack.
        text: who plays, as the stack says it.
        fitness: the mean of theirs by their players: a doubler does not decide the octave
            for the section it supports.
    """

    lines: tuple[int, ...]
    text: str
    fitness: float


class Criteria(NamedTuple):
    """What octaves are compared by, in this order; the smallest is the best.

    Attributes:
        out_of_reach: notes beyond the extreme or below the lowest string.
        out_of_range: notes beyond the range.
        breach: lines outside the layout's condition.
        rarity: how seldom tunes lie there; 0 where no repertory is asked.
        worst_negated: the worst level, all good ones alike.
        good_and_far: octaves from the tune where every level is good; else 0.
        mean_negated: mean over the levels.
        displacement: octaves from the tune.
        octave_negated: the upper of two.
    """

    out_of_reach: int = 0
    out_of_range: int = 0
    breach: float = 0.0
    rarity: float = 0.0
    worst_negated: float = 0.0
    good_and_far: int = 0
    mean_negated: float = 0.0
    displacement: int = 0
    octave_negated: int = 0


class Candidate(NamedTuple):
    """A stack at one octave.

    Attributes:
        top: whole octaves of the top line from the tune's sounding pitch.
        lines: top down.
        levels: those that are judged, top down.
        out_of_reach: notes beyond the extreme or below the lowest string, line by line.
        out_of_range: notes beyond the range, those out of reach among them, line by line.
        criteria: what it is compared by.
    """

    top: int
    lines: list[PlacedLine]
    levels: list[PlacedLevel]
    out_of_reach: list[int]
    out_of_range: list[int]
    criteria: Criteria

    @property
    def weakest(self) -> PlacedLevel:
        """The worst level."""
        return min(self.levels, key=lambda level: level.fitness)


def lines_of_stack(stack: Stack, ensemble: Ensemble, heard: Sequence[Heard]) -> list[StackLine]:
    """Every member of every level, top down.

    Args:
        stack: read with the same ensemble.
        ensemble: whose figures hold.
        heard: by all lines together, or one for each.
    """
    each = iter(heard if len(heard) > 1 else [heard[0]] * len(stack.members))
    lines = []
    for level in stack.levels:
        for member in level.members:
            section = ensemble.section(member.section)
            players = stack.players_of(member, section)
            lines.append(
                StackLine(level.depth, member, section, players, next(each), len(stack.levels))
            )
    return lines


def notes_outside_of(lines: Sequence[StackLine], top: int) -> list[Outside]:
    """The notes of each line that its section cannot be asked to play, at one octave."""
    return [
        notes_outside(line.section, line.heard.counts, 12 * (top - line.level))
        for line in lines
    ]


def placed_at(lines: Sequence[StackLine], top: int) -> list[PlacedLine]:
    """Each line at one octave, and how well it sings there."""
    placed = []
    for line in lines:
        octave = top - line.level
        suits = line_fitness(line.section, line.heard.profiles, 12 * octave, line.levels)
        placed.append(PlacedLine(line.level, line.member, octave, suits))
    return placed


def candidate(
    lines: Sequence[StackLine], top: int, manner: Manner, outside: Sequence[Outside]
) -> Candidate:
    """How a stack fares at one octave.

    Sections that suit no tune (double basses) are not judged: counted among the levels they
    would be the worst everywhere and decide nothing. A stack of nothing else is judged.

    Args:
        lines: of the stack.
        top: octave of the top line.
        manner: by what it is placed.
        outside: the notes of each line that its section cannot be asked to play there.
    """
    placed = placed_at(lines, top)
    levels = _levels(lines, placed)
    out_of_reach = [each.reach for each in outside]
    out_of_range = [each.range for each in outside]
    criteria = _criteria(lines, placed, levels, manner)._replace(
        out_of_reach=sum(out_of_reach), out_of_range=sum(out_of_range)
    )
    return Candidate(top, placed, levels, out_of_reach, out_of_range, criteria)


def _criteria(
    lines: Sequence[StackLine],
    placed: Sequence[PlacedLine],
    levels: Sequence[PlacedLevel],
    manner: Manner,
) -> Criteria:
    """What an octave is compared by, but for the notes outside the ranges."""
    figures = [level.fitness for level in levels]
    worst = round(min(figures), SHOWN)
    mean = round(sum(figures) / len(figures), SHOWN)
    top = placed[0].octave + placed[0].level
    criteria = Criteria(
        worst_negated=-min(worst, GOOD),
        good_and_far=abs(top) if worst >= GOOD else 0,
        mean_negated=-mean,
        displacement=abs(top),
        octave_negated=-top,
    )
    if manner.condition is not None:
        breach = _breach(manner.condition, lines, placed, heeded=worst >= GOOD_ENOUGH)
        criteria = criteria._replace(breach=breach)
    if manner.stays:
        return criteria._replace(worst_negated=0, good_and_far=abs(top))
    if manner.repertory is not None:
        rarity = -usual_of(lines, top, manner.repertory)
        return criteria._replace(rarity=rarity, worst_negated=0, good_and_far=0)
    return criteria


def _levels(lines: Sequence[StackLine], placed: Sequence[PlacedLine]) -> list[PlacedLevel]:
    judged = [at for at, line in enumerate(lines) if not never_carries(line.section)]
    by_depth: dict[int, list[int]] = {}
    for at in judged or range(len(lines)):
        by_depth.setdefault(lines[at].level, []).append(at)
    levels = []
    for places in by_depth.values():
        players = [lines[at].players for at in places]
        if not any(players):  # desks that this ensemble does not have
            players = [1.0] * len(places)
        weighed = sum(
            many * placed[at].fitness for many, at in zip(players, places, strict=True)
        )
        text = " + ".join(lines[at].member.text for at in places)
        mean = round(weighed / sum(players), DECIMALS)
        levels.append(PlacedLevel(tuple(places), text, mean))
    return levels


def _breach(
    condition: Condition,
    lines: Sequence[StackLine],
    placed: Sequence[PlacedLine],
    *,
    heeded: bool,
) -> float:
    """Lines outside a condition, by their time, to tenths of a line; all where not heeded."""
    lines_outside = 0.0
    for bound in condition.bounds:
        for line, done in zip(lines, placed, strict=True):
            if line.section.key in bound.sections:
                shift = 12 * done.octave
                lines_outside += _outside(line.heard, bound, shift) if heeded else 1.0
    return round(lines_outside, 1)


def _outside(heard: Heard, bound: Bound, shift: int) -> float:
    """The share of a line's time that lies outside; of its notes where none has a length."""
    times: Profile | Counts = whole_profile(heard.profiles)
    total = sum(times.values())
    if not total:
        times, total = heard.counts, sum(heard.counts.values())
    low = -1 if bound.low is None else bound.low - shift
    high = 999 if bound.high is None else bound.high - shift
    outside = sum(time for midi, time in times.items() if not low <= midi <= high)
    return outside / total if total else 0.0
