"""Which lines of a score carry a tune that is known, in which octave, from when to when."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from rewriter.hearing.agreeing import chains, rests, stretches
from rewriter.hearing.doublings import is_a_line

if TYPE_CHECKING:
    from collections.abc import Container, Iterator, Mapping, Sequence

    from rewriter.hearing.agreeing import Pair
    from rewriter.hearing.lines import Bars, HeardLine, Place
    from rewriter.hearing.tune_notes import DueNote


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
rests: nothing; three notes; two, and also one, if it is all the tune has between its own."""

_FEWEST_ALONE: Final[dict[Short, int]] = {"lines": 3, "phrases": 2}


def long_stretches(tune: Sequence[DueNote], line: HeardLine, bars: Bars) -> list[Carrying]:
    """The stretches in which a line carries a tune for as long as a doubling lasts.

    For six notes of three pitch classes that are not mostly repeated, one in eight of which
    may differ.

    Args:
        tune: its notes, where they should be.
        line: of the score.
        bars: of the score.
    """
    return [
        _carrying(line, one)
        for one in _candidates(tune, line, bars)
        if is_a_line([line.notes[at].sounding for _, at in one.pairs])
    ]


def short_stretches(
    tune: Sequence[DueNote],
    line: HeardLine,
    bars: Bars,
    taken: Container[int],
    short: Short,
) -> list[Carrying]:
    """The others: what a line has of the tune and nothing else between its rests.

    One octave may follow upon another there, and what carries the tune already is as good as
    a rest.

    Args:
        tune: its notes, where they should be.
        line: of the score.
        bars: of the score.
        taken: indexes of notes of the line that carry the tune already.
        short: what is enough.
    """
    if short == "none":
        return []
    found = [
        one
        for one in _candidates(tune, line, bars)
        if not any(at in taken for at in range(one.first, one.last + 1))
    ]
    kept: list[_Candidate] = []
    for group in _groups(found):
        first, behind = group[0].first, group[-1].last + 1
        apart = (first - 1 in taken or rests(line.notes, first, bars)) and (
            behind in taken or rests(line.notes, behind, bars)
        )
        count = sum(len(one.pairs) for one in group)
        enough = count >= _FEWEST_ALONE[short] or (
            short == "phrases" and _is_a_phrase(group, tune, bars)
        )
        if apart and enough:
            kept += group
    return [_carrying(line, one) for one in kept]


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


def _candidates(tune: Sequence[DueNote], line: HeardLine, bars: Bars) -> list[_Candidate]:
    """Whatever agrees at one octave, in the order of time; none within another."""
    places = {note.time: at for at, note in enumerate(tune)}
    by_octave: Mapping[int, list[Pair]] = defaultdict(list)
    for at, note in enumerate(line.notes):
        place = places.get(note.time)
        if place is not None and (note.sounding - tune[place].sounding) % 12 == 0:
            octaves = int(note.sounding - tune[place].sounding) // 12
            by_octave[octaves].append((place, at))
    found = [
        _Candidate(octaves, pairs[stretch[0].first : stretch[-1].last + 1])
        for octaves, pairs in by_octave.items()
        for chain in chains(tune, line.notes, pairs, bars)
        for stretch in stretches(chain, lambda *_: True)
    ]
    kept: list[_Candidate] = []
    for one in sorted(found, key=lambda one: (one.first, -one.last)):
        if not kept or one.last > kept[-1].last:
            kept.append(one)
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


def _is_a_phrase(group: Sequence[_Candidate], tune: Sequence[DueNote], bars: Bars) -> bool:
    """True when the tune rests for a beat before and behind."""
    first, last = group[0].pairs[0][0], group[-1].pairs[-1][0]
    return rests(tune, first, bars) and rests(tune, last + 1, bars)
