"""Which octave a layout is put in: of all octaves, the one where every section sings."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from rewriter.placing.candidates import (
    Manner,
    candidate,
    lines_of_stack,
    notes_outside_of,
    placed_at,
)
from rewriter.placing.reasons import runner_up_said, why_said
from rewriter.placing.writable import tops_by_letters, tops_however_spelled, unwritable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.candidates import Candidate, PlacedLine, StackLine
    from rewriter.placing.fitness import Heard
    from rewriter.placing.limits import Outside
    from rewriter.placing.writable import Letters
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.stack_lines import Stack

ANCHORED = "the octave is named in the stack"
"""Why a stack is where it is when it was told."""


class Placement(msgspec.Struct, frozen=True):
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


def place(
    stack: Stack,
    ensemble: Ensemble,
    heard: Heard,
    *,
    by: int = 0,
    manner: Manner | None = None,
    letters: Letters | None = None,
) -> Placement:
    """Put a stack where it sounds best, or where it says.

    Of all octaves the stack goes to the one with, in this order: fewest notes beyond the
    extreme (or below the lowest string), over all lines; fewest beyond the range; fewest
    lines outside the layout's condition; the best worst level, where those from 0.9 on are
    equally good. Among equally good ones it goes to the octave nearest to the tune's own:
    where the composer wrote it is right until something speaks against it. Else the best
    mean over the levels decides, the smallest displacement, upward. With a repertory, how
    often tunes lie there takes the place of all that follows the condition.

    Args:
        stack: read with the same ensemble.
        ensemble: whose figures hold.
        heard: the tune.
        by: semitones the tune is to be moved by first, as in another key.
        manner: by what, besides the ranges, it is placed.
        letters: gives the lowest and the highest octave that letters of the tune stand in;
            asked only near the ends of what can be written. Without it every note is taken to
            be spelled as far from its letter as can be.

    Raises:
        Refused: at no octave, or not at the one named, can every note be written down.
    """
    lines = lines_of_stack(stack, ensemble, [heard.moved(by) if by else heard])
    return _placed(stack, lines, manner or Manner(), letters)


def best_candidate(
    stack: Stack,
    ensemble: Ensemble,
    heard: Heard,
    *,
    manner: Manner,
    letters: Letters | None = None,
) -> Candidate:
    """A stack where :func:`place` puts it, with the figures it is compared by.

    Args:
        stack: read with the same ensemble.
        ensemble: whose figures hold.
        heard: the tune.
        manner: by what, besides the ranges, it is placed.
        letters: see :func:`place`.

    Raises:
        Refused: as :func:`place` does.
    """
    lines = lines_of_stack(stack, ensemble, [heard])
    top = stack.top_octave
    if top is None:
        return _tried(stack, lines, manner, letters)[0]
    _check_written(stack, lines, letters)
    return candidate(lines, top, manner, notes_outside_of(lines, top))


def place_as_sketched(
    stack: Stack, ensemble: Ensemble, heard: Sequence[Heard], letters: Letters | None = None
) -> Placement:
    """Put a stack of the accompaniment where it was sketched, or where it says.

    Its top level is loco unless that leaves the range.

    Args:
        stack: read with the same ensemble.
        ensemble: whose figures hold.
        heard: by all lines together, or one for each.
        letters: see :func:`place`.

    Raises:
        Refused: at no octave, or not at the one named, can every note be written down.
    """
    lines = lines_of_stack(stack, ensemble, heard)
    return _placed(stack, lines, Manner(stays=True), letters)


def _placed(
    stack: Stack, lines: Sequence[StackLine], manner: Manner, letters: Letters | None
) -> Placement:
    sounds = any(line.heard.counts for line in lines)
    if stack.top_octave is not None:
        if sounds:
            _check_written(stack, lines, letters)
        return Placement(stack.top_octave, ANCHORED, "", placed_at(lines, stack.top_octave))
    ranked = _tried(stack, lines, manner, letters)
    best = ranked[0]
    why = why_said(ranked) if sounds else "the tune has no notes"
    runner_up = runner_up_said(ranked, lines) if sounds else ""
    return Placement(best.top, why, runner_up, best.lines)


def _check_written(stack: Stack, lines: Sequence[StackLine], letters: Letters | None) -> None:
    """Refuse a stack that cannot be written at the octave it names."""
    tops = tops_however_spelled(lines)
    if stack.top_octave not in tops and letters is not None:
        tops = tops_by_letters(lines, *letters())
    if stack.top_octave not in tops:
        raise unwritable(stack, lines)


def _tried(
    stack: Stack, lines: Sequence[StackLine], manner: Manner, letters: Letters | None
) -> list[Candidate]:
    """The octaves a stack can be written in, best first, as far as they are asked."""
    sounds = any(line.heard.counts for line in lines)
    tops = tops_however_spelled(lines) if sounds else range(1)
    ranked = _ranked(lines, tops, manner)
    if sounds and letters is not None and (not ranked or ranked[0].top in {tops[0], tops[-1]}):
        ranked = _ranked(lines, tops_by_letters(lines, *letters()), manner)
    if not ranked:
        raise unwritable(stack, lines)
    return ranked


def _ranked(lines: Sequence[StackLine], tops: range, manner: Manner) -> list[Candidate]:
    """The stack at the best two octaves at least, best first, with all that come as near.

    How well it sings is asked only where the ranges have not decided already.
    """
    alike: dict[tuple[int, int], list[tuple[int, list[Outside]]]] = {}
    for top in tops:
        outside = notes_outside_of(lines, top)
        key = sum(each.reach for each in outside), sum(each.range for each in outside)
        alike.setdefault(key, []).append((top, outside))
    ranked: list[Candidate] = []
    for key in sorted(alike):
        tried = [candidate(lines, top, manner, outside) for top, outside in alike[key]]
        ranked += sorted(tried, key=lambda each: each.criteria)
        if len(ranked) > 1:
            break
    return ranked
