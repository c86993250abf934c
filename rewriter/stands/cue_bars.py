"""Cue notes: what another section plays just before an entry after a long rest.

The last bars of the rest, and the entry's own up to where the player comes in, show the other
section's line in small notes with their stems up, its name above, the section's own rests
below. In MusicXML they are ``<cue/>`` notes, which the standard has silent. (Stems up, the
rests kept, a name above: common practice, no source.)
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from rewriter.musicxml.note_reading import serialised
from rewriter.scores.quarters import in_quarters
from rewriter.stands.cue_entries import entries_of
from rewriter.stands.cue_notes import before, cut_out, leading_line
from rewriter.stands.cue_octaves import moved_for, octave_words
from rewriter.stands.cue_writing import add_cue
from rewriter.stands.in_force import Stands

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from fractions import Fraction

    from rewriter.scores.quarters import BarInQuarters
    from rewriter.scores.score import Part
    from rewriter.stands.copying import PartCopy
    from rewriter.stands.cue_entries import Entry
    from rewriter.stands.cue_notes import CueNote
    from rewriter.stands.in_force import Stand


class Shown(NamedTuple):
    """A line shown as cue notes.

    Attributes:
        source: whose line it is.
        octaves: that it is moved by, for the target's clef.
        lines: by bar, its notes as the target writes them.
    """

    source: CueSource
    octaves: int
    lines: dict[int, list[CueNote]]


class CueSource:
    """A part of the score, as others are cued by it."""

    def __init__(
        self, part: Part, section: int, entries: Sequence[Entry], bars: Iterable[int]
    ) -> None:
        """Read a part.

        Args:
            part: of the score.
            section: number of the section it belongs to.
            entries: of the section.
            bars: indexes of those in which somebody is cued.
        """
        self.part = part
        self.section = section
        self.entries = entries
        self.bars = in_quarters(part, bars)
        self._stands = Stands(part)

    def stand(self, bar: int) -> Stand:
        """What is in force where a bar begins."""
        return self._stands.at(bar)

    @cached_property
    def lines(self) -> dict[int, list[CueNote]]:
        """The leading line of each bar in which it has notes."""
        found = {
            at: leading_line(bar)
            for at, bar in self.bars.items()
            if b"<pitch" in self.part.bars[at]
        }
        return {at: line for at, line in found.items() if any(note.pitch for note in line)}

    def before(self, entry: Entry) -> dict[int, list[CueNote]]:
        """The leading lines before an entry of another section, by bar."""
        lines = {bar: self.lines[bar] for bar in entry.shown if bar in self.lines}
        if entry.bar in lines:
            lines[entry.bar] = before(lines[entry.bar], entry.onset)
        return {bar: line for bar, line in lines.items() if line}


def cue_sources(sections: Sequence[Sequence[PartCopy]], after: int) -> list[CueSource]:
    """All parts of a score, score order, as others are cued by them.

    Args:
        sections: the parts of each; nothing has been put into them yet.
        after: bars of rest from which an entry is cued.
    """
    entries = [entries_of(section, after) for section in sections]
    cued = {bar for each in entries for entry in each for bar in entry.shown}
    return [
        CueSource(part.of, number, entries[number], cued)
        for number, section in enumerate(sections)
        for part in section
    ]


def write_cues(target: PartCopy, sources: Sequence[CueSource]) -> int:
    """Write cue notes into a part, before every entry after a long rest.

    Args:
        target: its bars are changed.
        sources: all parts of the score, score order.

    Returns:
        How many entries are cued.
    """
    place = next(n for n, source in enumerate(sources) if source.part is target.of)
    count = 0
    for entry in sources[place].entries:
        cue = _choose(entry, sources, place)
        if cue is None and len(entry.bars) > 1:
            cue = _choose(entry._replace(bars=entry.bars[-1:]), sources, place)
        if cue is not None:
            _write(target, cue, sources[place])
            count += 1
    return count


def _choose(entry: Entry, sources: Sequence[CueSource], place: int) -> Shown | None:
    """The line to cue an entry by.

    It leads to the entry, and this section's clef shows it, moved by two octaves at most. Of
    several lines one that is heard within the last half bar, then that with most notes, then
    the nearest in score order, then in octave.
    """
    mine = sources[place]
    stands = {bar: mine.stand(bar) for bar in entry.shown}
    best: tuple[tuple[bool, int, int, int, int], Shown] | None = None
    for index, other in enumerate(sources):
        lines = other.before(entry) if other.section != mine.section else {}
        if max(lines, default=-1) < entry.bars[-1] or not all(
            _fits(line, mine.bars[bar]) for bar, line in lines.items()
        ):
            continue
        moved = moved_for(lines, other.stand(min(lines)), stands)
        if moved is None:
            continue
        octaves, written = moved
        bar = mine.bars[entry.bars[-1]].end
        silent = 2 * _silence(lines, entry, bar) > bar
        count = sum(note.pitch is not None for line in lines.values() for note in line)
        rank = (silent, -count, abs(index - place), abs(octaves), index)
        if best is None or rank < best[0]:
            best = (rank, Shown(other, octaves, written))
    return best[1] if best else None


def _silence(lines: dict[int, list[CueNote]], entry: Entry, bar_length: Fraction) -> Fraction:
    """Quarters between the last note of a line and the entry."""
    last = max(lines)
    heard = max(note.onset + note.length for note in lines[last] if note.pitch is not None)
    return entry.onset - heard if last == entry.bar else entry.onset + bar_length - heard


def _fits(line: Sequence[CueNote], resting: BarInQuarters) -> bool:
    """True when a bar is long enough for a line and its divisions can say the lengths."""
    divisions = resting.divisions
    times = [time * divisions for note in line for time in (note.onset, note.length)]
    within = line[-1].onset + line[-1].length <= resting.end
    return within and all(time.denominator == 1 for time in times)


def _write(target: PartCopy, cue: Shown, mine: CueSource) -> None:
    lines = cut_out(list(cue.lines.values()))
    name = cue.source.part.short_name or cue.source.part.name
    label = name + octave_words(-cue.octaves)
    for bar, line in zip(cue.lines, lines, strict=True):
        measure = target.tree(bar)
        add_cue(measure, mine.bars[bar], line, mine.stand(bar).accidentals(), label)
        target.bars[bar] = serialised(measure)
        label = ""
