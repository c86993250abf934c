"""Why a stack stands in its octave, and what the next best would cost: one sentence each."""

from __future__ import annotations

from math import exp
from typing import TYPE_CHECKING

from rewriter.placing.candidates import GOOD, Criteria
from rewriter.placing.fitness import fitness, register_shares, whole_profile

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rewriter.placing.candidates import Candidate, PlacedLevel, StackLine


def why_said(ranked: Sequence[Candidate]) -> str:
    """Why the best is the best.

    Args:
        ranked: all octaves, the best first.
    """
    best = ranked[0]
    reach, outside = best.criteria.out_of_reach, best.criteria.out_of_range
    if reach or outside:
        start = (
            f"{_notes(reach)} beyond the extreme"
            if reach
            else f"{_notes(outside)} out of range"
        )
        return f"{start}, fewer in no octave; {_weakest_said(best)}"
    alone = len(best.lines) == 1
    start = f"{best.lines[0].member.text if alone else 'every line'} inside its range"
    rivals = [each for each in ranked if each.criteria[:2] == best.criteria[:2]]
    if len(rivals) == 1:
        return f"{start}, as in no other octave; {_weakest_said(best)}"
    return f"{start}; {_verdict(best, rivals)}"


def _verdict(best: Candidate, rivals: Sequence[Candidate]) -> str:
    """What decided between octaves at which every line is inside its range."""
    ours, theirs = best.criteria, rivals[1].criteria
    decided = _first_difference(ours, theirs)
    worst = best.weakest.fitness
    named = f"{best.weakest.text} at {worst:.2f}"
    if decided == "breach":
        return f"{_condition_said(ours.breach)}; {_weakest_said(best)}"
    if decided == "rarity":
        return f"of {len(rivals)} octaves the one where composers put such tunes most often"
    if decided == "worst_negated":
        said = named if len(best.levels) == 1 else f"the weakest level, {named},"
        return f"{said} is the best of {len(rivals)} octaves"
    nearer = ours.displacement < theirs.displacement
    choice = "nearest to the tune" if nearer else "above the tune, not below"
    if decided == "good_and_far" or worst >= GOOD:
        return _good_said(best, rivals, choice)
    mean = -ours.mean_negated
    if decided == "mean_negated":
        return (
            f"the levels together, {mean:.2f} on average, are the best of {len(rivals)} octaves"
        )
    equals = sum(each.criteria[:-2] == ours[:-2] for each in rivals)
    said = named if len(best.levels) == 1 else f"{mean:.2f} on average"
    return f"{said} in {equals} octaves, this one {choice}"


def _good_said(best: Candidate, rivals: Sequence[Candidate], choice: str) -> str:
    """That several octaves are as good as can be asked, or that the stack stays."""
    named = f"{best.weakest.text} at {best.weakest.fitness:.2f}"
    equal = best.criteria[: Criteria._fields.index("good_and_far")]
    equals = sum(each.criteria[: len(equal)] == equal for each in rivals)
    if best.weakest.fitness < GOOD:
        return f"it stays where it was sketched; {_weakest_said(best)}"
    said = named if len(best.levels) == 1 else f"every level good, {named} the weakest,"
    return f"{said} in {equals} octaves, this one {choice}"


def _first_difference(ours: Criteria, theirs: Criteria) -> str:
    """What decided between two octaves."""
    pairs = zip(Criteria._fields, ours, theirs, strict=True)
    return next((field for field, one, other in pairs if one != other), "")


def _condition_said(breach: float) -> str:
    if not breach:
        return "every line as the layout's condition asks, as in no other octave"
    return f"{_lines(breach)} outside the layout's condition, fewer in no octave"


def _lines(breach: float) -> str:
    return f"{breach:.1f}".removesuffix(".0") + (" line" if breach == 1 else " lines")


def _notes(count: int) -> str:
    return f"{count} note{'s' if count > 1 else ''}"


def _weakest_said(one: Candidate) -> str:
    said = f"{one.weakest.text} at {one.weakest.fitness:.2f}"
    return said if len(one.levels) == 1 else f"the weakest level is {said}"


def runner_up_said(ranked: Sequence[Candidate], lines: Sequence[StackLine]) -> str:
    """What the second best octave would cost, by what differs first; empty for none.

    Args:
        ranked: all octaves, the best first.
        lines: of the stack.
    """
    if len(ranked) == 1:
        return ""
    best, second = ranked[:2]
    return f"{octaves_said(second.top - best.top)}: {_cost(best, second, lines)}"


def octaves_said(distance: int) -> str:
    """How far one octave is from another.

    >>> octaves_said(1), octaves_said(-2)
    ('an octave higher', '2 octaves lower')
    """
    many = "an octave" if abs(distance) == 1 else f"{abs(distance)} octaves"
    return f"{many} {'lower' if distance < 0 else 'higher'}"


def _cost(best: Candidate, second: Candidate, lines: Sequence[StackLine]) -> str:
    ours, theirs = best.criteria, second.criteria
    weakest = second.weakest
    costs: dict[str, Callable[[], str]] = {
        "out_of_reach": lambda: f"{_most(second, second.out_of_reach)} beyond the extreme",
        "out_of_range": lambda: f"{_most(second, second.out_of_range)} out of range",
        "breach": lambda: f"{_lines(theirs.breach)} outside the layout's condition",
        "rarity": lambda: f"{exp(theirs.rarity - ours.rarity):.1f} times as rare",
        "worst_negated": lambda: (
            f"{weakest.text} would be {weakest.fitness:.2f} ({_fault(second, weakest, lines)})"
        ),
        "mean_negated": lambda: (
            f"{-theirs.mean_negated:.2f} on average, not {-ours.mean_negated:.2f}"
        ),
    }
    nearer = ours.displacement != theirs.displacement
    as_good = f"as good, but {'farther from' if nearer else 'below'} the tune"
    return costs.get(_first_difference(ours, theirs), lambda: as_good)()


def _most(one: Candidate, notes: Sequence[int]) -> str:
    """The line with the most such notes: ``Vn I would have 3 notes``, and how many others."""
    most = max(notes)
    text = one.lines[notes.index(most)].member.text
    others = sum(notes) - most
    and_others = f" and the other lines {others}" if others else ""
    return f"{text} would have {_notes(most)}{and_others}"


def _fault(one: Candidate, level: PlacedLevel, lines: Sequence[StackLine]) -> str:
    """The register that costs a level most: ``mostly in its bass register``."""
    at = min(level.lines, key=lambda place: one.lines[place].fitness)
    section, heard = lines[at].section, lines[at].heard
    strength = max(heard.profiles, key=lambda name: sum(heard.profiles[name].values()))
    figures = {
        register.name: fitness(section, register.from_midi, lines[at].levels, strength)
        for register in section.registers
    }
    lengths = whole_profile(heard.profiles)
    weights = lengths if any(lengths.values()) else dict.fromkeys(lengths, 1)
    shares = register_shares(section, weights, 12 * one.lines[at].octave)
    name, share = max(shares, key=lambda pair: pair[1] * (1 - figures.get(pair[0], -1.0)))
    how_much = "all" if share == 1 else "mostly" if 2 * share > 1 else f"{share:.0%}"
    where = f"in its {name} register" if name in figures else name
    who = lines[at].member.text if len(level.lines) > 1 else ""
    return f"{who}: {how_much} {where}".removeprefix(": ")
