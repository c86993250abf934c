"""What a section can be asked to play: every note against range and extreme."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from itertools import compress
from operator import itemgetter
from typing import TYPE_CHECKING, NamedTuple

import msgspec

from rewriter.placing.facts import AtTheTop, Beyond, NoteBeyond, Player
from rewriter.sketch.model import Sounding

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Sequence

    from rewriter.placing.fitness import Counts
    from rewriter.rulefiles.ensembles import Section
    from rewriter.theory.time import Timeline


class PlayedLine(msgspec.Struct, frozen=True):
    """A line to be looked at.

    Attributes:
        player: who plays it.
        notes: what it plays, at the tune's pitch.
        shift: semitones from the tune, 12 for each octave.
    """

    player: Player
    notes: Sequence[Sounding]
    shift: int

    @property
    def section(self) -> Section:
        """Whose figures hold."""
        return self.player.section

    @property
    def pitches(self) -> list[float]:
        """MIDI numbers, as the line sounds."""
        shift = self.shift
        return [note.midi + shift for note in self.notes]


class Outside(NamedTuple):
    """How many notes a section cannot be asked to play.

    Attributes:
        reach: beyond the extreme, or below the lowest string.
        range: beyond the range, those out of reach among them.
    """

    reach: int
    range: int


def beyond(section: Section, midi: float) -> Beyond | None:
    """Say where a sounding pitch lies when it is outside a section's range.

    Args:
        section: whose figures hold.
        midi: sounding MIDI number.

    Returns:
        None inside the range.
    """
    if section.low <= midi <= section.high:
        return None
    if midi > section.extreme:
        return "above the extreme"
    if midi > section.high:
        return "above the range"
    return "below the lowest string" if midi < section.lowest else "below the range"


def notes_outside(section: Section, counts: Counts, shift: int) -> Outside:
    """Count the notes of a line that are outside a section's range.

    Args:
        section: who plays it.
        counts: notes by the tune's sounding MIDI number.
        shift: semitones from the tune, 12 for each octave.
    """
    pitches = sorted(counts)
    many = [counts[pitch] for pitch in pitches]

    def outside(low: float, high: float) -> int:
        first, behind = bisect_left(pitches, low - shift), bisect_right(pitches, high - shift)
        return sum(many[:first]) + sum(many[behind:])

    return Outside(outside(section.lowest, section.extreme), outside(section.low, section.high))


def beyond_limits(line: PlayedLine, timeline: Timeline) -> list[NoteBeyond | AtTheTop]:
    """Compare every note of a line with range and extreme, and with the highest register.

    Args:
        line: with the tune, or what is left of it, in order.
        timeline: where its bars begin.

    Returns:
        In order of the notes.
    """
    section, player, notes = line.section, line.player, line.notes
    if not notes:
        return []
    pitches = line.pitches
    highest = max(pitches)
    found: list[tuple[int, NoteBeyond | AtTheTop]] = []
    if highest > section.high or min(pitches) < section.low:
        outside = {pitch: where for pitch in set(pitches) if (where := beyond(section, pitch))}
        for at in _having(pitches, outside):
            note = _at_pitch(notes[at], pitches[at])
            found.append((at, NoteBeyond(player, note, outside[pitches[at]])))
    if len(section.registers) > 1 and highest >= section.registers[-1].from_midi:
        for first, bars in _at_the_top(line, pitches, timeline):
            note = _at_pitch(notes[first], pitches[first])
            found.append((first, AtTheTop(player, note, bars)))
    found.sort(key=itemgetter(0))
    return [fact for _, fact in found]


def longest_at_the_top(line: PlayedLine, timeline: Timeline) -> int:
    """For how many bars a line stays in its section's highest register, at most.

    Args:
        line: with the tune, in order.
        timeline: where its bars begin.
    """
    if len(line.section.registers) < 2 or not line.notes:  # noqa: PLR2004 - lowest and highest
        return 0
    stays = _at_the_top(line, line.pitches, timeline)
    return max((bars for _, bars in stays), default=0)


def _at_pitch(note: Sounding, midi: float) -> Sounding:
    bar, start, length, _, group, index = note
    return Sounding(bar, start, length, midi, group, index)


def _having(pitches: Sequence[float], wanted: Container[float]) -> Iterable[int]:
    """Where some pitches stand among the notes of a line."""
    return compress(range(len(pitches)), map(wanted.__contains__, pitches))


def _at_the_top(
    line: PlayedLine, pitches: Sequence[float], timeline: Timeline
) -> list[tuple[int, int]]:
    """Where a line stays in the top register: its first note, and for how many bars.

    A rest of a bar or more is relief; a note tied over barlines is none.
    """
    top = line.section.registers[-1].from_midi
    notes = line.notes
    stays: list[tuple[int, int]] = []
    first, before, end = -1, -2, 0
    for at in _having(pitches, {pitch for pitch in set(pitches) if pitch >= top}):
        _, start, length, _, _, _ = notes[at]
        rest = start - end
        goes_on = at == before + 1 and (
            rest <= 0 or rest < timeline.length(timeline.bar_ending(end))
        )
        if not goes_on:
            if first >= 0:
                stays.append((first, timeline.bar_ending(end) - notes[first].bar + 1))
            first, end = at, start + length
        end = max(end, start + length)
        before = at
    if first >= 0:
        stays.append((first, timeline.bar_ending(end) - notes[first].bar + 1))
    return stays
