"""Statements of a tune: stretches of a line that come back, also in other keys.

A stretch of at least four bars, twelve notes and five pitch classes is one where it comes back
with the same onsets and at most one note in eight different. A later statement counts as far
as it agrees: one with another end is shorter than the first.
"""

from __future__ import annotations

from bisect import bisect_left
from itertools import pairwise
from math import lcm
from typing import TYPE_CHECKING, NamedTuple

from rewriter.hearing.lines import Bars
from rewriter.hearing.repeats import Repeat, bar_of_end, is_a_statement, repeats_in
from rewriter.hearing.tune_notes import DueNote
from rewriter.theory.fifths import Interval

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from fractions import Fraction

    from rewriter.hearing.agreeing import Pair
    from rewriter.hearing.tune_notes import TuneNote


class DifferingNote(NamedTuple):
    """A moment at which a later statement differs from the first.

    Attributes:
        onset: quarters from the start of the piece, in the later one.
        first: index of the note of the first statement; None where it has none.
        own: of the later one.
    """

    onset: Fraction
    first: int | None
    own: int | None


class Statement(NamedTuple):
    """One statement of a tune.

    Attributes:
        number: 1 for the first.
        first_bar: index of the bar its first note begins in.
        last_bar: of the bar its last note ends in.
        start: quarters from the start of the piece.
        stop: end of its last note, likewise.
        notes: indexes of its first and last note in the line.
        semitones: above the first statement; 0 for that one.
        interval: the same between letters; None where nobody knows them.
        agreeing: indexes of notes of the first statement and of this one that agree.
        differing: what does not, in the order of time.
    """

    number: int
    first_bar: int
    last_bar: int
    start: Fraction
    stop: Fraction
    notes: tuple[int, int]
    semitones: float
    interval: Interval | None
    agreeing: tuple[Pair, ...]
    differing: tuple[DifferingNote, ...]


def statements_in(
    notes: Sequence[TuneNote], bar_starts: Sequence[Fraction]
) -> list[tuple[Statement, ...]]:
    """The statements of each tune that comes back in a line, by their first statements.

    No two statements overlap. Of all ways to see them, that one counts by which most of the
    music is the return of something: where a phrase comes three times, that phrase rather than
    two of them in a row.

    Args:
        notes: of the line, in the order of time; of notes that begin together the first.
        bar_starts: quarters from the start of the piece to each bar, and to the end of the
            last.
    """
    line = _Line(notes, bar_starts)
    repeats = repeats_in(line.due, line.bars)
    found: list[tuple[Statement, ...]] = []
    while repeats:
        first, later = _most(line, repeats)
        found.append(line.statements(first, later))
        taken = {at for one in later for at in _between(one, 1)} | set(range(*first))
        repeats = [left for one in repeats for left in _without(one, taken, line)]
    return sorted(found, key=lambda tune: tune[0].start)


_Range = tuple[int, int]
"""Index of the first note of a stretch, and of the one behind its last."""


def _whole(quarters: Fraction, divisions: int) -> int:
    """Divisions, of which there are whole ones; fractions multiplied take their time."""
    return quarters.numerator * (divisions // quarters.denominator)


class _Line:
    """A line in whole divisions, so that times compare as numbers."""

    def __init__(self, notes: Sequence[TuneNote], bar_starts: Sequence[Fraction]) -> None:
        self.notes = notes
        times = [*bar_starts, *(one.onset for one in notes), *(one.length for one in notes)]
        divisions = lcm(*(time.denominator for time in times))
        self.due = []
        for note in notes:
            time = _whole(note.onset, divisions)
            end = time + _whole(note.length, divisions)
            self.due.append(DueNote(time, end, note.sounding))
        starts = [_whole(start, divisions) for start in bar_starts]
        self.bars = Bars(starts, [divisions] * (len(starts) - 1))

    def length(self, first: int, last: int) -> int:
        """Divisions from the beginning of a note to the end of another."""
        return self.due[last].end - self.due[first].time

    def statements(self, first: _Range, later: Sequence[Repeat]) -> tuple[Statement, ...]:
        """The first statement and the later ones, in the order of time."""
        start, stop = first
        own = Repeat(tuple((at, at) for at in range(start, stop)), 0)
        later = sorted(later, key=lambda one: one.pairs[0][1])
        return tuple(self._statement(n, one) for n, one in enumerate((own, *later), start=1))

    def _statement(self, number: int, one: Repeat) -> Statement:
        first, last = one.pairs[0][1], one.pairs[-1][1]
        start, end = self.notes[first].onset, self.notes[last].onset + self.notes[last].length
        return Statement(
            number,
            self.bars.bar_at(self.due[first].time),
            bar_of_end(self.due[last], self.bars),
            start,
            end,
            (first, last),
            one.semitones,
            self._interval(one),
            one.pairs,
            tuple(self._differing(one)),
        )

    def _interval(self, one: Repeat) -> Interval | None:
        """The interval most notes agree on, as they are spelled."""
        steps: list[int] = []
        for i, j in one.pairs:
            before, now = self.notes[i].fifths, self.notes[j].fifths
            if before is None or now is None:
                return None
            steps.append(round((7 * one.semitones - (now - before)) / 12))
        return Interval(max(set(steps), key=lambda n: (steps.count(n), -n)), int(one.semitones))

    def _differing(self, one: Repeat) -> Iterator[DifferingNote]:
        later = self.notes[one.pairs[0][1]].onset - self.notes[one.pairs[0][0]].onset
        for (i, j), (next_i, next_j) in pairwise(one.pairs):
            first = {self.notes[at].onset + later: at for at in range(i + 1, next_i)}
            own = {self.notes[at].onset: at for at in range(j + 1, next_j)}
            for onset in sorted({*first, *own}):
                yield DifferingNote(onset, first.get(onset), own.get(onset))


def _most(line: _Line, repeats: Sequence[Repeat]) -> tuple[_Range, list[Repeat]]:
    """The stretch whose returns are most of the music, the most, the longest; and these."""
    best: tuple[int, ...] | None = None
    chosen: tuple[_Range, list[Repeat]] = (0, 0), []
    repeats = sorted(repeats, key=lambda one: one.pairs[0][0])
    ranges = sorted({(one.pairs[0][0], one.pairs[-1][0] + 1) for one in repeats})
    longest = max(stop - start for start, stop in ranges)
    for start, stop in ranges:
        low, high = (
            bisect_left(repeats, at, key=lambda one: one.pairs[0][0])
            for at in (start - longest, stop)
        )
        later = _returns(line, (start, stop), repeats[low:high])
        restated = sum(line.length(one.pairs[0][1], one.pairs[-1][1]) for one in later)
        worth = restated, len(later), line.length(start, stop - 1), -start
        if best is None or worth > best:
            best, chosen = worth, ((start, stop), later)
    return chosen


def _returns(line: _Line, first: _Range, repeats: Sequence[Repeat]) -> list[Repeat]:
    """The returns of a stretch, as far as they agree, the longest first, none overlapping."""
    start, stop = first
    clipped = []
    for one in repeats:
        pairs = tuple((i, j) for i, j in one.pairs if start <= i < stop)
        if is_a_statement(line.due, pairs, line.bars):
            clipped.append(Repeat(pairs, one.semitones))
    clipped.sort(key=lambda one: (-len(one.pairs), one.pairs[0][1], one.pairs[0][0]))
    taken = set(range(start, stop))
    found = []
    for one in clipped:
        own = set(_between(one, 1))
        if not own & taken:
            taken |= own
            found.append(one)
    return found


def _between(one: Repeat, side: int) -> range:
    """Indexes of all notes of the earlier (0) or the later (1) stretch."""
    return range(one.pairs[0][side], one.pairs[-1][side] + 1)


def _without(one: Repeat, taken: set[int], line: _Line) -> Iterator[Repeat]:
    """What is left of a repeat where no note has been taken, if that is a statement still."""
    if taken.isdisjoint(_between(one, 0)) and taken.isdisjoint(_between(one, 1)):
        yield one
        return
    left: list[list[Pair]] = [[]]
    for i, j in one.pairs:
        if i in taken or j in taken:
            left.append([])
        else:
            left[-1].append((i, j))
    for pairs in left:
        if is_a_statement(line.due, pairs, line.bars):
            yield Repeat(tuple(pairs), one.semitones)
