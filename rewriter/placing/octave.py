"""Which octave a layout is put in: of all octaves, the one where every section sings."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.placing.fitness import (
    DECIMALS,
    fitness,
    line_fitness,
    never_carries,
    register_shares,
)
from rewriter.placing.limits import notes_outside
from rewriter.problems import Refused
from rewriter.theory.pitch import name_of_midi

if TYPE_CHECKING:
    from collections.abc import Callable

    from rewriter.placing.fitness import Counts, Profile
    from rewriter.rulefiles.ensembles import Ensemble, Section
    from rewriter.rulefiles.stack_lines import Member, Stack

    Letters = Callable[[], tuple[int, int]]

_HIGHEST_OCTAVE = 9
"""Of the letter of a written note; the lowest is 0. (W3C MusicXML 4.0, <octave>.)"""

_SPELLED_AWAY = 2
"""Semitones a note may lie from its letter: a double accidental."""


ANCHORED = "the octave is named in the stack"
"""Why a stack is where it is when it was told."""


class PlacedLine(NamedTuple):
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


class Placement(NamedTuple):
    """Where a stack was put, and why.

    Attributes:
        top_octave: whole octaves of the top line from the tune's sounding pitch.
        why: one sentence.
        runner_up: one sentence; empty when the stack is anchored or nothing else is possible.
        lines: every member of every level, top down.
    """

    top_octave: int
    why: str
    runner_up: str
    lines: list[PlacedLine]


class _Line(NamedTuple):
    level: int
    member: Member
    section: Section


class _Key(NamedTuple):
    """What octaves are compared by; the smallest is the best."""

    out_of_reach: int
    out_of_range: int
    worst_negated: float
    mean_negated: float
    displacement: int
    octave_negated: int


class _Candidate(NamedTuple):
    """A stack at one octave; its notes beyond extreme or range are counted line by line."""

    key: _Key
    top: int
    lines: list[PlacedLine]
    out_of_reach: list[int]
    out_of_range: list[int]
    judged: list[PlacedLine]

    @property
    def weakest(self) -> PlacedLine:
        return min(self.judged, key=lambda line: line.fitness)


def place(
    stack: Stack,
    ensemble: Ensemble,
    profile: Profile,
    counts: Counts,
    by: int = 0,
    letters: Letters | None = None,
) -> Placement:
    """Put a stack where it sounds best, or where it says.

    Of all octaves the stack goes to the one with, in this order: fewest notes beyond the
    extreme (or below the lowest string), over all lines; fewest beyond the range; the best
    worst line; the best mean over the lines; the smallest displacement of the top line from
    the tune; upward. Sections that suit no tune (double basses) are judged by range alone:
    counted among the worst they would be the worst line everywhere and decide nothing. A
    stack of nothing else is judged by all its lines.

    Args:
        stack: read with the same ensemble.
        ensemble: whose figures hold.
        profile: divisions by the tune's sounding MIDI number.
        counts: notes by the tune's sounding MIDI number.
        by: semitones the tune is to be moved by first, as in another key.
        letters: gives the lowest and the highest octave that letters of the tune stand in;
            asked only near the ends of what can be written. Without it every note is taken to
            be spelled as far from its letter as can be.

    Raises:
        Refused: at no octave, or not at the one named, can every note be written down.
    """
    if by:
        profile = {midi + by: length for midi, length in profile.items()}
        counts = {midi + by: count for midi, count in counts.items()}
    lines = [
        _Line(level.depth, member, ensemble.section(member.section))
        for level in stack.levels
        for member in level.members
    ]
    levels = len(stack.levels)
    tops = _writable(lines, *_far_spelled(counts)) if counts else range(1)
    if stack.top_octave is not None:
        if stack.top_octave not in tops and counts and letters is not None:
            tops = _writable(lines, *letters())
        if stack.top_octave not in tops and counts:
            raise _unwritable(stack, counts)
        anchored = _candidate(lines, stack.top_octave, profile, counts, levels)
        return Placement(stack.top_octave, ANCHORED, "", anchored.lines)
    ranked = _ranked(lines, tops, profile, counts, levels)
    if counts and letters is not None and (not ranked or ranked[0].top in {tops[0], tops[-1]}):
        ranked = _ranked(lines, _writable(lines, *letters()), profile, counts, levels)
    if not ranked:
        raise _unwritable(stack, counts)
    best = ranked[0]
    why = _why(best, ranked) if counts else "the tune has no notes"
    runner_up = (
        _runner_up(best, ranked[1], lines, profile, levels) if counts and ranked[1:] else ""
    )
    return Placement(best.top, why, runner_up, best.lines)


def _far_spelled(counts: Counts) -> tuple[int, int]:
    """Octaves that no letter of the tune goes beyond, however its notes are spelled."""
    lowest, highest = min(counts) - _SPELLED_AWAY, max(counts) + _SPELLED_AWAY
    return int(lowest // 12) - 1, int(highest // 12) - 1


def _writable(lines: list[_Line], lowest: int, highest: int) -> range:
    """The top octaves at which every line can be written down.

    Args:
        lines: of the stack.
        lowest: octave the letters of the tune stand in.
        highest: likewise.
    """
    written = [line.section.written_octave - line.level for line in lines]
    return range(-lowest - min(written), _HIGHEST_OCTAVE - highest - max(written) + 1)


def _ranked(
    lines: list[_Line], tops: range, profile: Profile, counts: Counts, levels: int
) -> list[_Candidate]:
    """The stack at each of these octaves, the best first."""
    tried = (_candidate(lines, top, profile, counts, levels) for top in tops)
    return sorted(tried, key=lambda candidate: candidate.key)


def _candidate(
    lines: list[_Line], top: int, profile: Profile, counts: Counts, levels: int
) -> _Candidate:
    placed: list[PlacedLine] = []
    out_of_reach: list[int] = []
    out_of_range: list[int] = []
    for level, member, section in lines:
        octave = top - level
        suits = line_fitness(section, profile, 12 * octave, levels)
        placed.append(PlacedLine(level, member, octave, suits))
        outside = notes_outside(section, counts, 12 * octave)
        out_of_range.append(outside.range)
        out_of_reach.append(outside.reach)
    judged = [
        done
        for done, line in zip(placed, lines, strict=True)
        if not never_carries(line.section)
    ] or placed
    figures = [line.fitness for line in judged]
    worst, mean = min(figures), round(sum(figures) / len(figures), DECIMALS)
    key = _Key(sum(out_of_reach), sum(out_of_range), -worst, -mean, abs(top), -top)
    return _Candidate(key, top, placed, out_of_reach, out_of_range, judged)


def _why(best: _Candidate, ranked: list[_Candidate]) -> str:
    """Why the best is the best, in one sentence."""
    reach, outside = best.key.out_of_reach, best.key.out_of_range
    if reach or outside:
        start = (
            f"{_notes(reach)} beyond the extreme"
            if reach
            else f"{_notes(outside)} out of range"
        )
        return f"{start}, fewer in no octave; {_weakest_text(best)}"
    alone = len(best.lines) == 1
    start = f"{best.lines[0].member.text if alone else 'every line'} inside its range"
    rivals = [candidate for candidate in ranked if candidate.key[:2] == best.key[:2]]
    if len(rivals) == 1:
        return f"{start}, as in no other octave; {_weakest_text(best)}"
    return f"{start}; {_verdict(best, rivals)}"


def _verdict(best: _Candidate, rivals: list[_Candidate]) -> str:
    """What decided between octaves at which every line is inside its range."""
    single = len(best.judged) == 1
    weakest = best.weakest
    worst, mean = best.key.worst_negated, best.key.mean_negated
    if worst < rivals[1].key.worst_negated:
        said = f"{weakest.member.text} at {weakest.fitness:.2f}"
        said = said if single else f"the weakest line, {said},"
        return f"{said} is the best of {len(rivals)} octaves"
    if mean < rivals[1].key.mean_negated:
        return (
            f"the lines together, {-mean:.2f} on average, are the best of {len(rivals)} octaves"
        )
    equals = sum(rival.key[:4] == best.key[:4] for rival in rivals)
    said = f"{weakest.member.text} at {-mean:.2f}" if single else f"{-mean:.2f} on average"
    nearer = best.key.displacement < rivals[1].key.displacement
    choice = "nearest to the tune" if nearer else "above the tune, not below"
    return f"{said} in {equals} octaves, this one {choice}"


def _notes(count: int) -> str:
    return f"{count} note{'s' if count > 1 else ''}"


def _weakest_text(candidate: _Candidate) -> str:
    weakest = candidate.weakest
    said = f"{weakest.member.text} at {weakest.fitness:.2f}"
    return said if len(candidate.judged) == 1 else f"the weakest line is {said}"


def _runner_up(
    best: _Candidate, second: _Candidate, lines: list[_Line], profile: Profile, levels: int
) -> str:
    """What the second best octave would cost, by the first criterion that differs."""
    distance = abs(second.top - best.top)
    direction = "lower" if second.top < best.top else "higher"
    where = f"{'an octave' if distance == 1 else f'{distance} octaves'} {direction}"
    ours, theirs = best.key, second.key
    if ours.out_of_reach != theirs.out_of_reach:
        return f"{where}: {_most(second, second.out_of_reach)} beyond the extreme"
    if ours.out_of_range != theirs.out_of_range:
        return f"{where}: {_most(second, second.out_of_range)} out of range"
    if ours.worst_negated != theirs.worst_negated:
        weakest = second.weakest
        section = lines[second.lines.index(weakest)].section
        fault = _fault(section, profile, weakest.octave, levels)
        return f"{where}: {weakest.member.text} would be {weakest.fitness:.2f} ({fault})"
    if ours.mean_negated != theirs.mean_negated:
        return f"{where}: {-theirs.mean_negated:.2f} on average, not {-ours.mean_negated:.2f}"
    nearer = ours.displacement != theirs.displacement
    return f"{where}: as good, but {'farther from' if nearer else 'below'} the tune"


def _most(candidate: _Candidate, notes: list[int]) -> str:
    """The line with the most such notes: ``Vn I would have 3 notes``, and how many others."""
    most = max(notes)
    text = candidate.lines[notes.index(most)].member.text
    others = sum(notes) - most
    and_others = f" and the other lines {others}" if others else ""
    return f"{text} would have {_notes(most)}{and_others}"


def _fault(section: Section, profile: Profile, octave: int, levels: int) -> str:
    """The register that costs a line most: ``mostly in its bass register``."""
    figures = {
        register.name: fitness(section, register.from_midi, levels)
        for register in section.registers
    }
    weights = profile if any(profile.values()) else dict.fromkeys(profile, 1)
    shares = register_shares(section, weights, 12 * octave)
    name, share = max(shares, key=lambda pair: pair[1] * (1 - figures.get(pair[0], -1.0)))
    how_much = "all" if share == 1 else "mostly" if 2 * share > 1 else f"{share:.0%}"
    return f"{how_much} {f'in its {name} register' if name in figures else name}"


def _unwritable(stack: Stack, counts: Counts) -> Refused:
    compass = f"{name_of_midi(min(counts))} to {name_of_midi(max(counts))}"
    if stack.top_octave is None:
        what = f'no octave of "{stack.text}" keeps a tune from {compass} between C0 and B9'
        return Refused(what, "use a layout of fewer octaves")
    what = f'"{stack.text}" takes a tune from {compass} past C0 or B9'
    return Refused(what, "name an octave nearer to the tune")
