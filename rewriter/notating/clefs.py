"""Which clef a line is read in: few leger lines, rare changes."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.rulefiles.ensembles import ClefUse, Section
    from rewriter.sketch.model import Sounding
    from rewriter.theory.time import Timeline

READABLE_LEGER_LINES = 4
"""A clef that has not stayed long enough is left all the same where a group needs more leger
lines than this (common practice, no source)."""

_STEP_OF_SEMITONE = (0, 0, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
"""Diatonic step above C of a MIDI number, black keys spelled C# Eb F# Ab Bb."""

_POSITION_OF_SIGN = {"G": 32, "F": 24, "C": 28}
"""Diatonic steps above C0 of the note a clef's own line names: G4, F3, C4."""


class Group(NamedTuple):
    """Notes between which no clef may stand: a slur with what leads to it, a bar's loose notes.

    Attributes:
        first: position of its first note in the tune's list.
        last: position of its last note.
        bar: index of the bar it begins in.
        onset: divisions from the start of that bar.
        last_bar: index of the bar it ends in.
        pitches: sounding MIDI number in the tune and divisions, note by note.
        lowest: lowest MIDI number in the tune.
        highest: highest MIDI number in the tune.
    """

    first: int
    last: int
    bar: int
    onset: int
    last_bar: int
    pitches: tuple[tuple[float, int], ...]
    lowest: float
    highest: float


class ClefChange(NamedTuple):
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


def grouped(notes: Sequence[Sounding], timeline: Timeline) -> list[Group]:
    """Gather the tune's notes once, for all sections.

    A clef may stand after a rest, after the end of a slur, or at a barline outside slurs;
    groups are what lies between such places. Grace notes in no slur belong to the note they
    lead to.

    Args:
        notes: the tune in order; groups of chained slurs are expected to be one group.
        timeline: where each bar begins.
    """
    owners = _owners(notes)
    groups: list[Group] = []
    first = end = 0
    for at, note in enumerate(notes):
        if at and _may_change(notes, owners, at, timeline, rested=note.start > end):
            groups.append(_group(notes[first:at], first, timeline))
            first = at
        end = max(end, note.end)
    if notes:
        groups.append(_group(notes[first:], first, timeline))
    return groups


def _owners(notes: Sequence[Sounding]) -> list[int]:
    """The group of each note; of a grace note in none, that of the note it leads to."""
    owners = [note.group for note in notes]
    for at in range(len(notes) - 2, -1, -1):
        note, following = notes[at], notes[at + 1]
        if note.group < 0 and note.leads_to(following):
            owners[at] = owners[at + 1]
    return owners


def _may_change(
    notes: Sequence[Sounding],
    owners: Sequence[int],
    at: int,
    timeline: Timeline,
    *,
    rested: bool,
) -> bool:
    """True when a clef may stand before this note."""
    note, previous = notes[at], notes[at - 1]
    if owners[at] == owners[at - 1] >= 0:
        return False
    at_barline = note.bar != previous.bar and note.start == timeline.starts[note.bar]
    return rested or at_barline or owners[at - 1] >= 0


def _group(inside: Sequence[Sounding], first: int, timeline: Timeline) -> Group:
    midis = [note.midi for note in inside]
    last = inside[-1]
    end = max([start + length for _, start, length, *_ in inside])
    sounds_on = end > timeline.starts[last.bar + 1]
    return Group(
        first=first,
        last=first + len(inside) - 1,
        bar=inside[0].bar,
        onset=inside[0].start - timeline.starts[inside[0].bar],
        last_bar=timeline.ending(end).bar if sounds_on else last.bar,
        pitches=tuple([(midi, length) for _, _, length, midi, *_ in inside]),
        lowest=min(midis),
        highest=max(midis),
    )


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


def plan_clefs(section: Section, groups: Sequence[Group], octave: int) -> list[ClefChange]:
    """Choose clefs so that leger lines are few and changes rare.

    A higher clef is taken when most of a group (by length) lies above its `above`, and left
    when most lies below its `back_below`; in between the clef stays, unless a note needs
    more than four leger lines and another clef needs fewer over the group. A clef that would
    stay fewer than `clef_stays_bars` bars, or be taken back within them, is not changed
    unless a group could not be read otherwise (more than four again). The first clef suits
    the opening, and where that is short and the next clef suits it as well, that one.

    Args:
        section: whose clefs hold.
        groups: from :func:`grouped`.
        octave: whole octaves of the line from the tune.

    Returns:
        At least one, in order, never two alike in a row; the first begins the part.
    """
    home = section.clefs[0]
    figures = [clef.above for clef in section.clefs if clef.above is not None]
    shift = 12 * octave
    if not figures or max((group.highest for group in groups), default=0) + shift <= min(
        figures
    ):
        return [ClefChange(0, 0, 0, home)]
    walk = _Walk(section, groups, shift)
    return walk.changes_from(walk.opening())


@cache
def _readable(clef: ClefUse) -> tuple[int, int]:
    """Lowest and highest written MIDI number without too many leger lines in a clef."""
    read = [n for n in range(128) if abs(leger_lines(n, clef)) <= READABLE_LEGER_LINES]
    return read[0], read[-1]


class _Walk:
    """One line walked through group by group."""

    def __init__(self, section: Section, groups: Sequence[Group], shift: int) -> None:
        self.section = section
        self.clefs = section.clefs
        self.groups = groups
        self.shift = shift
        self._known: dict[tuple[int, int], int] = {}
        written = shift + 12 * section.written_octave
        self._readable = [
            (lowest - written, highest - written)
            for lowest, highest in map(_readable, section.clefs)
        ]

    def changes_from(self, current: int) -> list[ClefChange]:
        """The clefs of the line when it begins in the clef with this index."""
        changes = [ClefChange(0, 0, 0, self.clefs[current])]
        since = self.groups[0].bar - self.section.clef_stays_bars
        for at, group in enumerate(self.groups):
            if not at:
                continue
            wanted = self.wanted(at, current)
            if wanted == current:
                continue
            if self._lasts(at, wanted, since) or self._needed(at, current, wanted):
                current, since = wanted, group.bar
                changes.append(
                    ClefChange(group.first, group.bar, group.onset, self.clefs[current])
                )
        return changes

    def opening(self) -> int:
        """Index of the clef that suits the opening, or soon follows and suits it as well."""
        first = self.wanted(0, 0)
        last_bar = self.groups[0].bar + self.section.clef_stays_bars
        for at, group in enumerate(self.groups):
            if group.bar >= last_bar:
                break
            wanted = self.wanted(at, first)
            if wanted == first:
                continue
            bears = all(self.wanted(before, wanted) == wanted for before in range(at))
            longer = len(self.changes_from(first)) > len(self.changes_from(wanted))
            return wanted if bears and longer else first
        return first

    def wanted(self, at: int, current: int) -> int:
        """Index of the clef a group asks for, coming from another."""
        known = self._known.get((at, current))
        if known is None:
            known = self._known[at, current] = self._ask(at, current)
        return known

    def _ask(self, at: int, current: int) -> int:
        group = self.groups[at]
        higher = [
            i
            for i in range(current + 1, len(self.clefs))
            if self._mostly(group, self.clefs[i].above, 1)
        ]
        if higher:
            current = higher[-1]
        while current and self._mostly(group, self.clefs[current].back_below, -1):
            current -= 1
        lowest, highest = self._readable[current]
        if lowest <= group.lowest and group.highest <= highest:
            return current
        return min(
            range(len(self.clefs)),
            key=lambda i: (self._all_leger_lines(group, i), i != current),
        )

    def most_leger_lines(self, at: int, clef: int) -> int:
        """Leger lines of the note of a group that needs most."""
        group, use = self.groups[at], self.clefs[clef]
        written = self.shift + 12 * self.section.written_octave
        return max(
            leger_lines(group.highest + written, use), -leger_lines(group.lowest + written, use)
        )

    def _all_leger_lines(self, group: Group, clef: int) -> int:
        """Leger lines of all notes of a group, times their lengths."""
        written = self.shift + 12 * self.section.written_octave
        return sum(
            length * abs(leger_lines(midi + written, self.clefs[clef]))
            for midi, length in group.pitches
        )

    def _lasts(self, at: int, wanted: int, since: int) -> bool:
        """True when the old clef has stayed long enough and the new one will."""
        stays = self.section.clef_stays_bars
        bar = self.groups[at].bar
        if bar - since < stays:
            return False
        following = at + 1
        while following < len(self.groups) and self.groups[following].bar < bar + stays:
            if self.wanted(following, wanted) != wanted:
                return False
            following += 1
        return True

    def _needed(self, at: int, current: int, wanted: int) -> bool:
        """True when a group cannot well be read in the current clef, but in the wanted."""
        now = self.most_leger_lines(at, current)
        return now > READABLE_LEGER_LINES and self.most_leger_lines(at, wanted) < now

    def _mostly(self, group: Group, figure: int | None, side: int) -> bool:
        """True when most of a group's length lies above (side 1) or below (-1) a pitch."""
        if figure is None:
            return False
        limit = figure - self.shift
        nearest, farthest = group.lowest, group.highest
        if side < 0:
            nearest, farthest = -farthest, -nearest
        if farthest <= side * limit:
            return False
        if nearest > side * limit:
            return True
        past = sum(length for midi, length in group.pitches if side * (midi - limit) > 0)
        whole = sum(length for _, length in group.pitches)
        if not whole:
            past = sum(side * (midi - limit) > 0 for midi, _ in group.pitches)
            whole = len(group.pitches)
        return 2 * past > whole
