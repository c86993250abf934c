"""Doublings: lines of a finished score that are one line, in unison or octaves.

Two lines double where their notes begin together and have one pitch class, at one steady
distance of whole octaves, for six notes of three different pitch classes that are not mostly
repeated; or for fewer, if that is a whole phrase between rests. Up to one note in eight may
differ. A change of distance, a third different note in a row or a rest of both for more than a
bar ends it. Lengths and marks never do (``hearing.disagreements``).
"""

from __future__ import annotations

from collections import defaultdict
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.hearing.agreeing import chains, rests, stretches

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.hearing.agreeing import Pair, Run
    from rewriter.hearing.lines import Bars, Heard, HeardLine, HeardNote, Place

FEWEST_NOTES_OF_A_LINE: Final = 6
"""Notes of a doubling that is no whole phrase."""
_FEWEST_PITCHES: Final = 3
_FEWEST_OF_A_PHRASE: Final = 3
"""Notes of a whole phrase between rests: two are a bass's fall into a close, nobody's line."""
_FEWEST_PITCHES_OF_A_PHRASE: Final = 2


class Differing(NamedTuple):
    """A moment at which two lines that double differ.

    Attributes:
        time: divisions from the start of the piece.
        upper: what begins there in the upper line; None for nothing.
        lower: in the lower one.
    """

    time: int
    upper: HeardNote | None
    lower: HeardNote | None


class Doubling(NamedTuple):
    """Two lines that are one for a while.

    Attributes:
        upper: the line that sounds higher; in unison the one that stands first in the score.
        lower: the other.
        octaves: that it sounds lower.
        agreeing: notes of both that begin together, in the order of time.
        differing: moments between them at which something else begins.
    """

    upper: Place
    lower: Place
    octaves: int
    agreeing: tuple[tuple[HeardNote, HeardNote], ...]
    differing: tuple[Differing, ...]

    @property
    def start(self) -> int:
        """When it begins, in divisions from the start of the piece."""
        return self.agreeing[0][0].time

    @property
    def stop(self) -> int:
        """When the first of the two ends its last note, likewise."""
        one, other = self.agreeing[-1]
        return max(min(one.end, other.end), one.time)


def doublings_of(heard: Heard) -> list[Doubling]:
    """The doublings of a score, in the order in which they begin.

    A voice with chords has a line for its top notes and one for each member below, as the
    players of a divided section have; a lower member counts only by what the members above it
    do not double already.

    Args:
        heard: the score.
    """
    found: list[Doubling] = []
    by_voices: dict[tuple[int, int, int, int, int], list[Doubling]] = defaultdict(list)
    for (upper, lower, octaves), pairs in _agreeing(heard.lines).items():
        if len(pairs) >= _FEWEST_OF_A_PHRASE:
            two = _Two(heard.lines[upper], heard.lines[lower], octaves, pairs)
            key = (*two.upper.place[:2], *two.lower.place[:2], octaves)
            by_voices[key] += two.doublings(heard.bars)
    for doublings in by_voices.values():
        found += _without_twins(doublings)
    return sorted(found, key=lambda one: (one.start, one.upper, one.lower, one.octaves))


def _agreeing(lines: Sequence[HeardLine]) -> dict[tuple[int, int, int], list[Pair]]:
    """(upper line, lower line, octaves between) → pairs of notes that agree, in their order."""
    begun: dict[int, list[tuple[int, int, HeardNote]]] = defaultdict(list)
    for number, line in enumerate(lines):
        for at, note in enumerate(line.notes):
            begun[note.time].append((number, at, note))
    found: dict[tuple[int, int, int], list[Pair]] = defaultdict(list)
    for time in sorted(begun):
        alike: dict[float, list[tuple[int, int, HeardNote]]] = defaultdict(list)
        for beginning in begun[time]:
            alike[beginning[2].sounding % 12].append(beginning)
        for together in alike.values():
            for (low, i, one), (high, j, other) in combinations(together, 2):
                if one is other:  # two members of a voice on one note
                    continue
                octaves = int(one.sounding - other.sounding) // 12
                if octaves < 0:
                    found[high, low, -octaves].append((j, i))
                else:
                    found[low, high, octaves].append((i, j))
    return found


class _Two(NamedTuple):
    """Two lines and their notes that agree at one distance."""

    upper: HeardLine
    lower: HeardLine
    octaves: int
    pairs: list[Pair]

    def doublings(self, bars: Bars) -> Iterator[Doubling]:
        """The doublings there are at this distance, in their order."""

        def is_enough(first: int, last: int) -> bool:
            line = [self.upper.notes[i].sounding for i, _ in self.pairs[first : last + 1]]
            return is_a_line(line) or (
                _is_a_short_line(line) and self._between_rests(first, last, bars)
            )

        for chain in chains(self.upper.notes, self.lower.notes, self.pairs, bars):
            for stretch in stretches(chain, is_enough):
                yield self._doubling(stretch)

    def _between_rests(self, first: int, last: int, bars: Bars) -> bool:
        """True when both lines rest for a beat before a stretch and behind it."""
        (i, j), (last_i, last_j) = self.pairs[first], self.pairs[last]
        ends = (self.upper.notes, i, last_i), (self.lower.notes, j, last_j)
        return all(
            rests(notes, start, bars) and rests(notes, stop + 1, bars)
            for notes, start, stop in ends
        )

    def _doubling(self, stretch: Sequence[Run]) -> Doubling:
        chosen = self.pairs[stretch[0].first : stretch[-1].last + 1]
        uppers, lowers = self.upper.notes, self.lower.notes
        differing: list[Differing] = []
        for (i, j), (next_i, next_j) in pairwise(chosen):
            if next_i - i > 1 or next_j - j > 1:
                differing += _differing(uppers[i + 1 : next_i], lowers[j + 1 : next_j])
        return Doubling(
            self.upper.place,
            self.lower.place,
            self.octaves,
            tuple((uppers[i], lowers[j]) for i, j in chosen),
            tuple(differing),
        )


def is_a_line(soundings: Sequence[float]) -> bool:
    """True when notes are a line whose doubling is meant: enough, and not mostly repeated.

    Args:
        soundings: MIDI numbers, one after the other.
    """
    enough = len(soundings) >= FEWEST_NOTES_OF_A_LINE
    return enough and _moves(soundings) and _pitches(soundings) >= _FEWEST_PITCHES


def _is_a_short_line(soundings: Sequence[float]) -> bool:
    enough = _FEWEST_OF_A_PHRASE <= len(soundings) < FEWEST_NOTES_OF_A_LINE
    return enough and _moves(soundings) and _pitches(soundings) >= _FEWEST_PITCHES_OF_A_PHRASE


def _moves(soundings: Sequence[float]) -> bool:
    """True when at most two notes in three repeat the one before.

    With one in two as the limit, of 19 doublings of tunes that a program of others finds in
    nine orchestral movements (``tests.hearing.experts``) six are missed; with two in three
    quartets have 6.9 doublings in 100 bars instead of 6.4.
    """
    repeated = sum(one == other for one, other in pairwise(soundings))
    return 3 * repeated <= 2 * (len(soundings) - 1)


def _pitches(soundings: Iterable[float]) -> int:
    return len({sounding % 12 for sounding in soundings})


def _differing(uppers: Sequence[HeardNote], lowers: Sequence[HeardNote]) -> list[Differing]:
    times = sorted({note.time for note in (*uppers, *lowers)})
    upper = {note.time: note for note in uppers}
    lower = {note.time: note for note in lowers}
    return [Differing(time, upper.get(time), lower.get(time)) for time in times]


def _without_twins(doublings: list[Doubling]) -> list[Doubling]:
    """Doublings of two voices at one distance, no two of them by the same notes.

    The longest first; of others what is left of their notes has to be a line by itself.
    """
    if len({(one.upper.member, one.lower.member) for one in doublings}) <= 1:
        return doublings
    doublings.sort(key=lambda one: (-len(one.agreeing), one.upper, one.lower, one.start))
    taken: set[tuple[int, int]] = set()
    kept = []
    for one in doublings:
        new = [p for p in one.agreeing if (id(p[0]), id(p[1])) not in taken]
        if len(new) == len(one.agreeing) or is_a_line([note.sounding for note, _ in new]):
            kept.append(one)
            taken.update((id(upper), id(lower)) for upper, lower in new)
    return kept
