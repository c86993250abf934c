"""Where a line is read an octave down under 8va, so that signs do not flicker."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import TYPE_CHECKING

import msgspec

from rewriter.notating.clefs import leger_lines

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.notating.clef_places import Reading
    from rewriter.rulefiles.ensembles import ClefUse, Section

LEGER_LINES_BELOW_UNDER_OTTAVA = 1
"""Under 8va a note reads well with at most so many leger lines below (common practice, no
source)."""

LEGER_LINES_WORTH_OTTAVA = 3
"""Notes beside one that needs 8va go under the sign from so many leger lines on (common
practice, no source)."""


class _Unit(msgspec.Struct, frozen=True):
    """Notes joined by slurs and beams, or one that is not: first and last position."""

    first: int
    last: int


def plan_ottava(section: Section, reading: Reading, octave: int) -> list[tuple[int, int]]:
    """Find the notes to read under 8va.

    What slurs and beams join goes under 8va whole where a note of it needs more than the
    section's figure of leger lines, unless it reaches so low that reading it an octave down
    would be no better: then only its high notes do. Neighbouring signs are
    joined over fewer bars than a clef has to stay, where all between them reads well an octave
    down. A sign takes in what is high beside it up to the barline, or as far as it needs to
    be long enough; if it is too short all the same, there is none.

    Args:
        section: whose figures hold.
        reading: what it plays.
        octave: whole octaves of the line from the tune.

    Returns:
        Positions among the notes, first and last of each sign, inclusive.
    """
    most = section.ottava_beyond_leger_lines
    clef = section.clefs[-1]
    written = 12 * (octave + section.written_octave)
    highest = max((bar.highest for bar in reading.bars), default=0)
    if most is None or leger_lines(highest + written, clef) <= most:
        return []
    return _Search(section, reading, written).signs(most)


def reads_down(lowest: float, clef: ClefUse) -> bool:
    """True when a written pitch reads well an octave down."""
    return leger_lines(lowest - 12, clef) >= -LEGER_LINES_BELOW_UNDER_OTTAVA


class _Search:
    """One line looked through for what needs 8va."""

    def __init__(self, section: Section, reading: Reading, written: int) -> None:
        self._section = section
        self._reading = reading
        clef = section.clefs[-1]
        pitches = set(reading.midis)
        self._lines_of = {midi: leger_lines(midi + written, clef) for midi in pitches}
        self._low = {midi for midi in pitches if not reads_down(midi + written, clef)}

    def signs(self, most: int) -> list[tuple[int, int]]:
        joined: list[tuple[int, int]] = []
        for sign in self._needed(most):
            if joined and (sign[0] <= joined[-1][1] + 1 or self._bridged(joined[-1], sign)):
                joined[-1] = (joined[-1][0], max(sign[1], joined[-1][1]))
            else:
                joined.append(sign)
        signs: list[tuple[int, int]] = []
        for sign in joined:
            first, last = self._grown(sign)
            if self._is_long_enough(first, last):
                first, last = self._towards_barlines(first, last)
                if signs and first <= signs[-1][1] + 1:
                    first = signs.pop()[0]
                signs.append((first, last))
        return signs

    def _needed(self, most: int) -> Iterator[tuple[int, int]]:
        """Each group or note that needs 8va, or what of it is high."""
        done = -1
        lines, midis = self._lines_of, self._reading.midis
        for bar in self._reading.bars:
            if self._lines_of[bar.highest] <= most:
                continue
            for at in range(max(bar.first, done + 1), bar.stop):
                if lines[midis[at]] > most and at > done:
                    unit = self._unit(at)
                    sign = (unit.first, unit.last)
                    if not self._whole_reads_down(unit):
                        sign = self._high_run(at, unit)
                    done = sign[1]
                    yield sign

    def _unit(self, at: int) -> _Unit:
        return _Unit(*self._reading.joined_with(at))

    def _whole_reads_down(self, unit: _Unit) -> bool:
        return self._low.isdisjoint(self._reading.midis[unit.first : unit.last + 1])

    def _lines(self, at: int) -> int:
        return self._lines_of[self._reading.midis[at]]

    def _is_high(self, at: int) -> bool:
        return self._lines(at) >= LEGER_LINES_WORTH_OTTAVA

    def _high_run(self, at: int, unit: _Unit) -> tuple[int, int]:
        """The high notes around one of a group."""
        first = last = at
        while first > unit.first and self._is_high(first - 1):
            first -= 1
        while last < unit.last and self._is_high(last + 1):
            last += 1
        return first, last

    def _bridged(self, before: tuple[int, int], sign: tuple[int, int]) -> bool:
        """True when an 8va goes on from one sign to another."""
        between = self._bar_of(sign[0]) - self._last_bar_of(before[1]) - 1
        return between < self._section.clef_stays_bars and self._low.isdisjoint(
            self._reading.midis[before[1] + 1 : sign[0]]
        )

    def _bar_of(self, at: int) -> int:
        return bisect_right(self._reading.bar_starts, self._reading.starts[at]) - 1

    def _last_bar_of(self, at: int) -> int:
        """Index of the bar in which a note ends."""
        end = self._reading.starts[at] + max(self._reading.lengths[at], 1)
        return bisect_left(self._reading.bar_starts, end) - 1

    def _grown(self, sign: tuple[int, int]) -> tuple[int, int]:
        """A sign that is long enough, as far as what is high beside it allows."""
        first, last = sign
        while not self._is_long_enough(first, last):
            before, after = self._worth(first - 1), self._worth(last + 1)
            if after is not None and (before is None or self._top(after) >= self._top(before)):
                last = after.last
            elif before is not None:
                first = before.first
            else:
                break
        return first, last

    def _towards_barlines(self, first: int, last: int) -> tuple[int, int]:
        """A sign with what is high before and behind it in the bars it begins and ends in."""
        while unit := self._worth(first - 1):
            if self._bar_of(unit.first) < self._bar_of(first):
                break
            first = unit.first
        while unit := self._worth(last + 1):
            if self._bar_of(unit.last) > self._bar_of(last):
                break
            last = unit.last
        return first, last

    def _worth(self, at: int) -> _Unit | None:
        """The group of a note beside a sign, where it is high and reads well down."""
        if not 0 <= at < len(self._reading.midis):
            return None
        unit = self._unit(at)
        if not self._whole_reads_down(unit):
            unit = _Unit(at, at)
        return unit if self._whole_reads_down(unit) and self._is_high(at) else None

    def _top(self, unit: _Unit) -> int:
        return max(self._lines(at) for at in range(unit.first, unit.last + 1))

    def _is_long_enough(self, first: int, last: int) -> bool:
        """True for a bar and enough notes, tied ones counted, or enough under one slur."""
        section, reading = self._section, self._reading
        groups = set(reading.groups[first : last + 1])
        if (
            len(groups) == 1
            and min(groups) >= 0
            and last - first + 1 >= section.ottava_slur_notes
        ):
            return True
        written = last - first + 1
        if written < section.ottava_stays_notes:  # tied notes are written in each of their bars
            written += sum(
                self._last_bar_of(at) - self._bar_of(at) for at in range(first, last + 1)
            )
        bars = section.ottava_stays_bars * reading.length(self._bar_of(first))
        lasts = reading.ends[last] - reading.starts[first]
        return written >= section.ottava_stays_notes and lasts >= bars
