"""Which clef a line is read in: few leger lines, rare changes, each before what needs it."""

from __future__ import annotations

from bisect import bisect_right
from functools import cached_property
from itertools import accumulate, pairwise
from math import inf
from operator import attrgetter, mul
from typing import TYPE_CHECKING, Final

import msgspec

from rewriter.notating.clef_places import AFTER_A_BAR, AT_A_BARLINE, INSIDE_A_SLUR, Place

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.notating.clef_places import Reading, Slur
    from rewriter.rulefiles.ensembles import ClefUse, Section

_STEP_OF_SEMITONE = (0, 0, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
"""Diatonic step above C of a MIDI number, black keys spelled C# Eb F# Ab Bb."""

_POSITION_OF_SIGN = {"G": 32, "F": 24, "C": 28}
"""Diatonic steps above C0 of the note a clef's own line names: G4, F3, C4."""

_OUTSIDE: Final = 16
"""Strain of a note outside a clef's pitches, for each division; that of a note inside them
which a clef nearer to the first would show too is 1 (common practice, no source)."""

_ON_THE_STAFF: Final = (6, 10, 13)
"""Strain of a note below a clef's pitches that needs no leger line all the same, one, or two: a
dip that the staff itself shows turns no clef (common practice, no source)."""

_CHANGE: Final = 3 / 8
"""A change costs as much as this share of `clef_stays_bars` outside, so that the shortest stay
is worth its two changes when three quarters of it lie outside (common practice, no source)."""

_OPENING: Final = 7 / 8
"""As much of that to begin in another clef than the first: over a bar or so that either shows,
the clef of what follows is drawn at once (common practice, no source)."""

_READS_WELL: Final = 1
"""With so many leger lines a note may stand behind a clef that the next ones need, for the sake
of a barline or a rest (common practice, no source)."""

_HARD_TO_READ: Final = 2
"""Each leger line past what reads well adds as many times that strain (common practice, no
source)."""


_index = attrgetter("bar")


class ClefChange(msgspec.Struct, frozen=True):
    """A clef and the note it stands before; the first one begins the part.

    Attributes:
        note: position of the first note read in it; 0 for the clef that begins the part.
        bar: index of the bar; 0 for the clef that begins the part.
        onset: divisions from the start of the bar; 0 for the clef that begins the part.
        clef: the ensemble file's entry.
    """

    note: int
    bar: int
    onset: int
    clef: ClefUse


def leger_lines(midi: float, clef: ClefUse) -> int:
    """How many leger lines a note needs.

    Args:
        midi: WRITTEN MIDI number; black keys are taken as C# Eb F# Ab Bb.
        clef: read in it.

    Returns:
        Positive above the staff, negative below, 0 on it.
    """
    whole = int(midi // 1)
    position = 7 * (whole // 12 - 1) + _STEP_OF_SEMITONE[whole % 12]
    bottom = _POSITION_OF_SIGN[clef.sign] - 2 * (clef.line - 1)
    if position < bottom:
        return -((bottom - position) // 2)
    return max(position - bottom - 8, 0) // 2


def plan_clefs(section: Section, reading: Reading, octave: int) -> list[ClefChange]:
    """Choose clefs so that leger lines are few and changes rare.

    Each clef has its pitches: from its `back_below` up to the `above` of the next. Time
    outside them is weighed against changes, so that a clef is changed for no less than three
    quarters of `clef_stays_bars` outside; behind a bar's rest for half of that. It stays at
    least so many bars, unless a note would need more than `readable_leger_lines`, and always
    `clef_stays_notes` notes. It stands before the first note that needs it: if within the bar
    before there is a rest or a barline since when all reads well in it, there.

    Args:
        section: whose clefs hold.
        reading: what it plays, and where clefs may stand.
        octave: whole octaves of the line from the tune.

    Returns:
        At least one, in order, never two alike in a row; the first begins the part.
    """
    home = section.clefs[0]
    figures = [clef.above for clef in section.clefs if clef.above is not None]
    shift = 12 * octave
    highest = max((bar.highest for bar in reading.bars), default=0)
    if not figures or highest + shift <= min(figures):
        return [ClefChange(0, 0, 0, home)]
    return _Choice(section, reading, shift).changes()


class _Stay(msgspec.Struct, frozen=True):
    """Notes read in one clef.

    Attributes:
        place: where it is changed to.
        clef: its index.
        stop: position of the first note behind them.
        stop_bar: index of the bar that note is in, or of one behind the last.
    """

    place: Place
    clef: int
    stop: int
    stop_bar: int


class _Choice:
    """The clefs of one line."""

    def __init__(self, section: Section, reading: Reading, shift: int) -> None:
        self._section = section
        self._clefs = section.clefs
        self._reading = reading
        self._costs: dict[int, int] = {}
        self._written = shift + 12 * section.written_octave
        uppers = [clef.above for clef in section.clefs[1:]]
        self._bands = [
            (
                -inf if clef.back_below is None else clef.back_below - shift,
                min([up - shift for up in uppers[at:] if up is not None], default=inf),
            )
            for at, clef in enumerate(section.clefs)
        ]

    def changes(self) -> list[ClefChange]:
        compasses = self._reading.bar_compasses
        fits = {compass: self._fitting(*compass) for compass in set(compasses)}
        fitting = [fits[compass] for compass in compasses]
        stays = self._long_enough(self._cheapest(self._places(fitting)))
        changes = [ClefChange(0, 0, 0, self._clefs[stays[0].clef])]
        for before, stay in pairwise(stays):
            place = self._best_place(before, stay)
            onset = place.time - self._reading.bar_starts[place.bar]
            changes.append(ClefChange(place.note, place.bar, onset, self._clefs[stay.clef]))
        return changes

    def _fitting(self, lowest: float, highest: float) -> frozenset[int]:
        """Indexes of the clefs among whose pitches these lie."""
        bands = enumerate(self._bands)
        return frozenset(at for at, (low, high) in bands if low <= lowest and highest <= high)

    def _places(self, fitting: Sequence[frozenset[int]]) -> list[Place]:
        """Where a change is thought of.

        Between bars that each read well in some clef, but not the same, it is the barline; only
        bars that do not, or where no clef may stand there, are looked into.
        """
        bars, reading = self._reading.bars, self._reading
        places = {0: Place(0, bars[0].bar, reading.starts[0], AT_A_BARLINE)}
        before = fitting[0]
        for at, (bar, fit) in enumerate(zip(bars, fitting, strict=True)):
            found: Sequence[Place] = ()
            if not fit or not before:
                found = reading.places_in(bar)
            elif fit != before:
                place = reading.place_at(bar)
                found = [place] if place else [*self._near(at - 1), *reading.places_in(bar)]
            before = fit
            for place in found:
                places.setdefault(place.note, place)
        for slur in self._unreadable_slurs():
            for place in reading.places_under(slur):
                places.setdefault(place.note, place)
        return [places[note] for note in sorted(places)]

    def _near(self, at: int) -> Sequence[Place]:
        return self._reading.places_in(self._reading.bars[at])

    def _unreadable_slurs(self) -> list[Slur]:
        """Slurred groups that have too many leger lines in whatever clef."""
        bars, reading = self._reading.bars, self._reading
        lowest, highest = min(b.lowest for b in bars), max(b.highest for b in bars)
        if not self._is_past(lowest, highest):
            return []
        past = {compass for compass in set(reading.compasses) if self._is_past(*compass)}
        if not past:
            return []
        pairs = zip(reading.slurs, reading.compasses, strict=True)
        return [slur for slur, compass in pairs if compass in past]

    def _is_past(self, lowest: float, highest: float) -> bool:
        """True where notes have too many leger lines in whatever clef."""
        most = self._section.clef_breaks_slur_beyond_leger_lines
        return all(
            max(self._leger_lines(lowest, clef), self._leger_lines(highest, clef)) > most
            for clef in range(len(self._clefs))
        )

    def _leger_lines(self, midi: float, clef: int) -> int:
        return abs(leger_lines(midi + self._written, self._clefs[clef]))

    @cached_property
    def _strains(self) -> list[list[int]]:
        """By clef, the strain of reading all notes before each."""
        lengths = [length or 1 for length in self._reading.lengths]
        pitches = set(self._reading.midis)
        return [
            list(accumulate(map(mul, lengths, map(weight.__getitem__, midis)), initial=0))
            for midis in (self._reading.midis,)
            for weight in (
                {midi: self._weight(midi, clef) for midi in pitches}
                for clef in range(len(self._clefs))
            )
        ]

    def _weight(self, midi: float, clef: int) -> int:
        """Strain of a note for each division."""
        low, high = self._bands[clef]
        if low <= midi <= high:
            return int(any(low <= midi <= high for low, high in self._bands[:clef]))
        lines = self._leger_lines(midi, clef)
        if midi < low and lines < len(_ON_THE_STAFF):
            return _ON_THE_STAFF[lines]
        past = lines - self._section.readable_leger_lines
        return _OUTSIDE * (1 + _HARD_TO_READ * max(past, 0))

    def _cost_of_change(self, place: Place) -> int:
        length = self._reading.length(place.bar)
        known = self._costs.get(length)
        if known is None:
            bars = self._section.clef_stays_bars * length
            known = self._costs[length] = int(_OUTSIDE * bars * _CHANGE)
        return known // 2 if place.rank == AFTER_A_BAR else known

    def _cheapest(self, places: Sequence[Place]) -> list[_Stay]:
        """The clefs that cost least; of equal ones those with the latest changes."""
        clefs = range(len(self._clefs))
        strains = self._strains
        stops = [place.note for place in places[1:]] + [len(self._reading.midis)]
        costs = [strain[stops[0]] for strain in strains]
        opening = int(_OPENING * self._cost_of_change(places[0]))
        costs[1:] = [cost + opening for cost in costs[1:]]
        from_clefs: list[Sequence[int]] = []
        for place, stop in zip(places[1:], stops[1:], strict=True):
            lowest = min(costs)
            dearest = lowest + self._cost_of_change(place)
            came: Sequence[int] = clefs
            if dearest <= max(costs):
                nearest = costs.index(lowest)
                came = [nearest if dearest <= cost else at for at, cost in enumerate(costs)]
                costs = [min(cost, dearest) for cost in costs]
            note = place.note
            costs = [costs[at] + strains[at][stop] - strains[at][note] for at in clefs]
            from_clefs.append(came)
        read_in = [min(clefs, key=costs.__getitem__)]
        for came in reversed(from_clefs):
            read_in.append(came[read_in[-1]])
        return self._stays(list(zip(places, reversed(read_in), strict=True)))

    def _stays(self, chosen: Sequence[tuple[Place, int]]) -> list[_Stay]:
        """Places and their clefs, those that change nothing left out."""
        begins = [
            (place, clef)
            for at, (place, clef) in enumerate(chosen)
            if not at or chosen[at - 1][1] != clef
        ]
        last = self._reading.bars[-1]
        ends = [(place.note, place.bar) for place, _ in begins[1:]]
        ends.append((last.stop, last.bar + 1))
        return [_Stay(*begin, *end) for begin, end in zip(begins, ends, strict=True)]

    def _long_enough(self, stays: list[_Stay]) -> list[_Stay]:
        """The stays without those that are too short: what is nearer reaches over them."""
        at = 1
        while at < len(stays):
            stay, before, after = stays[at], stays[at - 1], stays[at + 1 : at + 2]
            if self._is_long_enough(stay, [before, *after]):
                at += 1
                continue
            reach = min([before, *after], key=lambda other: self._strain_in(stay, other.clef))
            first = before if reach.clef == before.clef else stay
            last = after[0] if after and reach.clef == after[0].clef else stay
            low, high = at - (first is before), at + 1 + (last is not stay)
            stays[low:high] = [_Stay(first.place, reach.clef, last.stop, last.stop_bar)]
            at = max(at - 1, 1)
        return stays

    def _strain_in(self, stay: _Stay, clef: int) -> int:
        strains = self._strains[clef]
        return strains[stay.stop] - strains[stay.place.note]

    def _is_long_enough(self, stay: _Stay, others: Sequence[_Stay]) -> bool:
        section, first = self._section, stay.place.note
        if stay.stop - first < section.clef_stays_notes:
            return False
        if any(self._is_for_one_note(stay, other.clef) for other in others):
            return False
        if stay.stop_bar - stay.place.bar >= section.clef_stays_bars:
            return True
        return all(
            max(self._leger_lines(midi, other.clef) for midi in self._midis(stay))
            > section.readable_leger_lines
            for other in others
        )

    def _is_for_one_note(self, stay: _Stay, clef: int) -> bool:
        """True when a single note is past another clef's pitches, and can be read in it."""
        low, high = self._bands[clef]
        midis = self._reading.midis[stay.place.note : stay.stop]
        past = [midi for midi in midis if not low <= midi <= high]
        readable = self._section.readable_leger_lines
        return len(past) == 1 and self._leger_lines(past[0], clef) <= readable

    def _midis(self, stay: _Stay) -> set[float]:
        return set(self._reading.midis[stay.place.note : stay.stop])

    def _best_place(self, before: _Stay, stay: _Stay) -> Place:
        """Where the clef is best changed, at most a bar before it must be."""
        needed = stay.place
        if needed.rank == INSIDE_A_SLUR:
            return needed
        earliest = max(needed.time - self._reading.length(needed.bar), before.place.time)
        best = needed
        for place in self._before(needed):
            between = self._reading.midis[place.note : needed.note]
            if place.time <= earliest or not all(self._reads_early(between, stay.clef)):
                break
            if place.rank < best.rank:
                best = place
        return best

    def _reads_early(self, midis: Sequence[float], clef: int) -> Iterator[bool]:
        """Of each note, whether it reads well in a clef that only what follows needs."""
        low, high = self._bands[clef]
        return (
            low <= midi <= high or self._leger_lines(midi, clef) <= _READS_WELL
            for midi in midis
        )

    def _before(self, needed: Place) -> Iterator[Place]:
        """Places from that needed back to the beginning of the bar before it."""
        bars = self._reading.bars
        last = bisect_right(bars, needed.bar, key=_index)
        for bar in bars[max(last - 2, 0) : last][::-1]:
            if bar.bar < needed.bar - 1:
                return
            for place in reversed(self._reading.places_in(bar)):
                if place.note < needed.note:
                    yield place
