"""What a section plays as its reader meets it: bar by bar, and where a clef may stand."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from functools import cached_property
from itertools import accumulate, pairwise
from operator import add
from typing import TYPE_CHECKING, Final, NamedTuple

import msgspec

from rewriter.sketch.model import Note

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from rewriter.placing.strands import Play
    from rewriter.sketch.frame import Frame, FrameBar
    from rewriter.sketch.model import Sign, Sounding

AFTER_A_BAR, AFTER_A_REST, AT_A_BARLINE, ELSEWHERE, INSIDE_A_SLUR = range(5)
"""How good a place for a clef is, best first: behind a bar's rest, behind a rest, at a
barline, between other notes, and within a slur that could not be read otherwise."""

_HALVES: Final = 4
_GOES_ON: Final = frozenset(("continue", "end"))
"""What a note's beam says where it comes from the note before."""


class ReadBar(msgspec.Struct, frozen=True):
    """A bar in which notes begin.

    Attributes:
        bar: its index.
        first: position of the first note that begins in it.
        stop: position of the first note behind it.
        lowest: MIDI number.
        highest: MIDI number.
    """

    bar: int
    first: int
    stop: int
    lowest: float
    highest: float


class Place(NamedTuple):
    """A moment before which a clef may stand.

    Attributes:
        note: position of the first note read in it.
        bar: index.
        time: divisions from the start of the piece.
        rank: how good it is; the lowest is best.
    """

    note: int
    bar: int
    time: int
    rank: int


class Slur(NamedTuple):
    """Notes under one slur, or under slurs that overlap.

    Attributes:
        begin: divisions from the start of the piece to its first note.
        last: likewise to the beginning of its last note.
    """

    begin: int
    last: int


class Reading:
    """Notes in order, looked through once for all sections that play them.

    Attributes:
        bars: those in which notes begin.
        bar_compasses: of each of those, lowest and highest MIDI number.
        starts: of each note, divisions from the start of the piece.
        ends: of each note and all before it, the latest, likewise.
        lengths: of each note, divisions.
        midis: of each note, sounding in the voice's octave.
        groups: of each note, the slurred group; -1 for none.
    """

    def __init__(
        self, notes: Sequence[Sounding], frame: Frame, plays: Sequence[Mapping[int, Play]] = ()
    ) -> None:
        """Look through notes.

        Args:
            notes: by bar, then by onset.
            frame: of the score.
            plays: what is played in each bar, for its beams; several where lines share a staff.
        """
        self._frame = frame
        self._plays = plays
        self.starts: tuple[int, ...] = ()
        self.lengths: tuple[int, ...] = ()
        self.midis: tuple[float, ...] = ()
        self.groups: tuple[int, ...] = ()
        bars: tuple[int, ...] = ()
        if notes:
            columns = zip(*notes, strict=True)
            bars, self.starts, self.lengths, self.midis, self.groups, _ = columns
        self.ends = list(accumulate(map(add, self.starts, self.lengths), max))
        self.bar_starts = [0, *accumulate(bar.length for bar in frame.bars)]
        self.bars = list(self._by_bar(bars))
        self.bar_compasses = [(bar.lowest, bar.highest) for bar in self.bars]
        self._places: dict[int, list[Place]] = {}
        self._beams: dict[int, set[int]] = {}
        self._joined: dict[int, tuple[int, int]] = {}

    def _by_bar(self, bars: Sequence[int]) -> Iterator[ReadBar]:
        first = 0
        while first < len(bars):
            stop = bisect_right(bars, bars[first], first)
            midis = self.midis[first:stop]
            yield ReadBar(bars[first], first, stop, min(midis), max(midis))
            first = stop

    def length(self, bar: int) -> int:
        """Divisions of a bar by its metre, so that an upbeat counts no less than others."""
        return self._bar_lengths[bar]

    @cached_property
    def _bar_lengths(self) -> list[int]:
        lengths: list[int] = []
        metre, length = None, 0
        for bar in self._frame.bars:
            if bar.metre is not metre:
                metre, length = bar.metre, int(bar.metre.length * self._frame.divisions)
            lengths.append(length or bar.length)
        return lengths

    def place_at(self, read: ReadBar) -> Place | None:
        """The beginning of a bar; None where no clef may stand, or nothing begins there."""
        place = self._place(read.first, read.bar)
        at_barline = self.starts[read.first] == self.bar_starts[read.bar]
        if place is None or not at_barline or self._slurred[read.first]:
            return None
        return None if self._is_slurred_from_a_tie(place) else place

    def places_in(self, read: ReadBar) -> list[Place]:
        """The moments of a bar before which a clef may stand, in order.

        Not while a note sounds on, and neither within a slur nor under a beam.
        """
        known = self._places.get(read.bar)
        if known is None:
            known = self._places[read.bar] = self._looked_for(read)
        return known

    def _looked_for(self, read: ReadBar) -> list[Place]:
        slurred = self._slurred
        notes = [at for at in range(read.first, read.stop) if not slurred[at]]
        found = [place for at in notes if (place := self._place(at, read.bar))]
        begin = self.bar_starts[read.bar]
        if any(place.time > begin for place in found):
            bound = self._bound(read.bar)
            found = [place for place in found if place.time - begin not in bound]
        if found and self._is_slurred_from_a_tie(found[0]):
            del found[0]
        return found

    def places_under(self, slur: Slur) -> list[Place]:
        """The barlines within a slur, or failing them behind its widest rest."""
        first = bisect_left(self.starts, slur.begin)
        inside: list[Place] = []
        for note in range(first, len(self.starts)):
            if self.starts[note] > slur.last:
                break
            place = self._place(note, bisect_right(self.bar_starts, self.starts[note]) - 1)
            if place is not None and place.time > slur.begin:
                inside.append(place._replace(rank=INSIDE_A_SLUR))
        at_barlines = [p for p in inside if p.time == self.bar_starts[p.bar]]
        if at_barlines:
            return at_barlines
        rested = [place for place in inside if self._rest_before(place.note)]
        return [max(rested, key=lambda place: self._rest_before(place.note))] if rested else []

    @cached_property
    def _slurred(self) -> bytearray:
        """Of each note, whether the moment before it lies within a slur."""
        slurred = bytearray(len(self.starts))
        for begin, last in self.slurs:
            first, behind = bisect_right(self.starts, begin), bisect_right(self.starts, last)
            slurred[first:behind] = b"\1" * (behind - first)
        return slurred

    def joined_with(self, note: int) -> tuple[int, int]:
        """First and last note of those that slurs and beams join with a note."""
        known = self._joined.get(note)
        if known is None:
            first = last = note
            while first and self._is_joined(first):
                first -= 1
            while last + 1 < len(self.starts) and self._is_joined(last + 1):
                last += 1
            known = first, last
            self._joined.update(dict.fromkeys(range(first, last + 1), known))
        return known

    def _is_joined(self, note: int) -> bool:
        """True when a note and the one before are of one slurred group or under one beam."""
        if self.groups[note] == self.groups[note - 1] >= 0:
            return True
        time = self.starts[note]
        bar = bisect_right(self.bar_starts, time) - 1
        return time - self.bar_starts[bar] in self._bound(bar)

    def _place(self, note: int, bar: int) -> Place | None:
        """The moment before a note; None while another sounds or where one has begun."""
        time = self.starts[note]
        rest = self._rest_before(note)
        if rest < 0 or (note and self.starts[note - 1] == time):
            return None
        if rest:
            rank = AFTER_A_BAR if rest >= self.length(bar) else AFTER_A_REST
        else:
            rank = AT_A_BARLINE if time == self.bar_starts[bar] else ELSEWHERE
        return Place(note, bar, time, rank)

    def _rest_before(self, note: int) -> int:
        """Divisions of silence before a note."""
        return self.starts[note] - self.ends[note - 1] if note else 0

    @cached_property
    def compasses(self) -> list[tuple[float, float]]:
        """Of each slur, lowest and highest MIDI number from its first note to its last."""
        compasses: list[tuple[float, float]] = []
        for begin, last in self.slurs:
            first, behind = bisect_left(self.starts, begin), bisect_right(self.starts, last)
            inside = self.midis[first:behind]
            compasses.append((min(inside), max(inside)))
        return compasses

    @cached_property
    def slurs(self) -> list[Slur]:
        """All slurs in order; those that overlap, in different voices, are one."""
        count = len(self.groups)
        last = dict(zip(self.groups, range(count), strict=True))
        first = dict(zip(reversed(self.groups), range(count - 1, -1, -1), strict=True))
        spans = sorted(
            (self.starts[first[group]], self.starts[at])
            for group, at in last.items()
            if group >= 0
        )
        slurs: list[Slur] = []
        for begin, end in spans:
            if slurs and begin < slurs[-1].last:
                slurs[-1] = Slur(slurs[-1].begin, max(slurs[-1].last, end))
            else:
                slurs.append(Slur(begin, end))
        return slurs

    def _is_slurred_from_a_tie(self, place: Place) -> bool:
        """True at a barline within a slur that begins on the end of a tied note."""
        at_barline = place.time == self.bar_starts[place.bar]
        if not at_barline or not place.bar or self.groups[place.note] < 0:
            return False
        return self._frame.bars[place.bar - 1].length in self._bound(place.bar - 1)

    def _bound(self, bar: int) -> set[int]:
        """Onsets in a bar at which a beam, or a slur begun in it, goes on."""
        known = self._beams.get(bar)
        if known is None:
            known = self._beams[bar] = set()
            for plays in self._plays:
                play = plays.get(bar)
                if play is not None:
                    framed, divisions = self._frame.bars[bar], self._frame.divisions
                    known |= _bound_in(play.voice.bars[bar].items, framed, divisions)
        return known


def _bound_in(items: Sequence[Note | Sign], bar: FrameBar, divisions: int) -> set[int]:
    """Onsets in a bar at which a beam goes on, or a slur that begins in the bar.

    The bar's length is among them where such a slur goes on.
    """
    notes = [item for item in items if isinstance(item, Note) and item.length]
    bound: set[int] = set()
    opened = 0
    beamed = False
    for note in notes:
        shape = note.shape
        if shape.beam:
            beamed = True
            if shape.beam in _GOES_ON:
                bound.add(note.onset)
        if opened:
            bound.add(note.onset)
        if shape.slurs:
            opened = max(opened + shape.slurs, 0)
    if opened:
        bound.add(notes[-1].onset + notes[-1].length)
    return bound if beamed else bound | _to_be_beamed(notes, bar, divisions)


def _to_be_beamed(notes: Sequence[Note], bar: FrameBar, divisions: int) -> set[int]:
    """Onsets at which a beam goes on that an engraver will draw, where a sketch has none.

    Short notes that follow each other are joined within a beat, or half a bar of four (common
    practice, no source).
    """
    joined = {
        note.onset
        for before, note in pairwise(notes)
        if max(before.length, note.length) < divisions
        and before.pitch is not None
        and note.pitch is not None
    }
    return joined - _joints(bar, divisions) if joined else joined


def _joints(bar: FrameBar, divisions: int) -> set[int]:
    """Onsets at which beams part."""
    lengths = [beat.numerator * divisions // beat.denominator for beat in bar.metre.groups]
    if len(lengths) == _HALVES and len(set(lengths)) == 1:
        lengths = [2 * lengths[0]] * 2
    return {start - bar.lacking for start in accumulate(lengths, initial=0)}
