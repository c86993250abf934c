"""Which lines of a score carry a tune that is known, in which octave, from when to when."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from rewriter.hearing.agreeing import chains, rests, stretches
from rewriter.hearing.doublings import is_a_line

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from rewriter.hearing.agreeing import Pair
    from rewriter.hearing.lines import Bars, HeardLine, HeardNote, Place
    from rewriter.hearing.tune_notes import DueNote

_FEWEST_ALONE: Final = 3
"""Notes of the tune that a line has between rests, and nothing else."""


class Carrying(NamedTuple):
    """A line that carries the tune for a while.

    Attributes:
        line: which.
        octaves: from the tune, upward positive.
        agreeing: indexes of notes of the tune and of the line that agree, in their order.
        start: divisions from the start of the piece.
        stop: end of its last note, likewise.
    """

    line: Place
    octaves: int
    agreeing: tuple[Pair, ...]
    start: int
    stop: int


Short = Literal["none", "lines", "phrases"]
"""What counts though it is shorter than a doubling, where a line plays nothing else between its
rests: nothing; three notes; also less, if it is all that the tune has between its own."""


def carrying(
    tune: Sequence[DueNote], line: HeardLine, bars: Bars, *, short: Short
) -> list[Carrying]:
    """The stretches in which a line carries a tune, in the order of time.

    As in a doubling, for six notes of three pitch classes that are not mostly repeated, one in
    eight of which may differ. Of short ones one octave may follow upon another.

    Args:
        tune: its notes, where they should be.
        line: of the score.
        bars: of the score.
        short: what is shorter and counts.
    """
    found = sorted(_candidates(tune, line, bars), key=lambda one: (one.first, -one.last))
    long = [one for one in found if is_a_line(_soundings(line, one))]
    kept = list(long)
    for group in _groups(_outside(found, long)) if short != "none" else ():
        enough = sum(len(one.pairs) for one in group) >= _FEWEST_ALONE or (
            short == "phrases" and _is_a_phrase(group, tune, bars)
        )
        if enough and _is_all_of_it(group, line.notes, bars):
            kept += [one for one in group if one not in long]
    return [_carrying(line, one) for one in sorted(kept, key=lambda one: one.first)]


def whole_line(line: HeardLine, bars: Bars) -> list[Carrying]:
    """The stretches of a line that is the tune: all it plays, without rests over a bar."""
    pairs = [(at, at) for at in range(len(line.notes))]
    return [
        _carrying(line, _Candidate(0, pairs[chain[0].first : chain[-1].last + 1]))
        for chain in chains(line.notes, line.notes, pairs, bars)
    ]


def _carrying(line: HeardLine, one: _Candidate) -> Carrying:
    start, stop = line.notes[one.first].time, line.notes[one.last].end
    return Carrying(line.place, one.octaves, tuple(one.pairs), start, stop)


class _Candidate(NamedTuple):
    """Notes of a line that may be the tune's.

    Attributes:
        octaves: from the tune.
        pairs: of notes of the tune and of the line.
    """

    octaves: int
    pairs: list[Pair]

    @property
    def first(self) -> int:
        """Index of its first note in the line."""
        return self.pairs[0][1]

    @property
    def last(self) -> int:
        """Index of its last note in the line."""
        return self.pairs[-1][1]


def _candidates(tune: Sequence[DueNote], line: HeardLine, bars: Bars) -> Iterator[_Candidate]:
    places = {note.time: at for at, note in enumerate(tune)}
    by_octave: Mapping[int, list[Pair]] = defaultdict(list)
    for at, note in enumerate(line.notes):
        place = places.get(note.time)
        if place is not None and (note.sounding - tune[place].sounding) % 12 == 0:
            octaves = int(note.sounding - tune[place].sounding) // 12
            by_octave[octaves].append((place, at))
    for octaves, pairs in by_octave.items():
        for chain in chains(tune, line.notes, pairs, bars):
            for stretch in stretches(chain, lambda *_: True):
                yield _Candidate(octaves, pairs[stretch[0].first : stretch[-1].last + 1])


def _soundings(line: HeardLine, one: _Candidate) -> list[float]:
    return [line.notes[at].sounding for _, at in one.pairs]


def _outside(found: Sequence[_Candidate], long: Sequence[_Candidate]) -> list[_Candidate]:
    """Candidates without those that lie within a long one: notes it has in another octave."""
    kept: list[_Candidate] = []
    reached = -1
    for one in found:
        if one in long or one.first > reached:
            kept.append(one)
            reached = max(reached, one.last)
    return kept


def _groups(found: Sequence[_Candidate]) -> Iterator[list[_Candidate]]:
    """Candidates that follow upon each other without a note of the line between."""
    group: list[_Candidate] = []
    for one in found:
        if group and one.first != group[-1].last + 1:
            yield group
            group = []
        group.append(one)
    if group:
        yield group


def _is_all_of_it(group: Sequence[_Candidate], notes: Sequence[HeardNote], bars: Bars) -> bool:
    """True when the line rests for a beat before and behind."""
    return rests(notes, group[0].first, bars) and rests(notes, group[-1].last + 1, bars)


def _is_a_phrase(group: Sequence[_Candidate], tune: Sequence[DueNote], bars: Bars) -> bool:
    """True when the tune rests for a beat before and behind."""
    first, last = group[0].pairs[0][0], group[-1].pairs[-1][0]
    return rests(tune, first, bars) and rests(tune, last + 1, bars)
