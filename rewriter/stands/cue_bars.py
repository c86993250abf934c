"""Cue notes: what another section plays just before an entry after a long rest.

The last bars of the rest show the other section's line in small notes with their stems up, its
name above, the section's own whole-bar rest below. In MusicXML they are ``<cue/>`` notes in a
voice of their own, which the standard has silent. (Stems up, the rest kept, a name above:
common practice, no source.)
"""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.escaping import escaped
from rewriter.musicxml.note_reading import serialised
from rewriter.scores.quarters import in_quarters
from rewriter.stands.cue_notes import cut_out, leading_line, moved_for, write_note
from rewriter.stands.durations import move
from rewriter.stands.in_force import Stands
from rewriter.stands.rests import rests_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from lxml.etree import _Element as Element

    from rewriter.musicxml.accidentals import AccidentalState
    from rewriter.scores.quarters import BarInQuarters
    from rewriter.scores.score import Part
    from rewriter.stands.copying import PartCopy
    from rewriter.stands.cue_notes import CueNote
    from rewriter.stands.in_force import Stand

_TWO_BARS_FROM: Final = 4
"""Bars of rest from which two bars of cue are shown, so that one is counted into them."""
_OCTAVE_WORDS: Final = {1: "8", 2: "15", 3: "22"}


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
        self, part: Part, section: int, entries: Sequence[range], bars: Iterable[int]
    ) -> None:
        """Read a part.

        Args:
            part: of the score.
            section: number of the section it belongs to.
            entries: the last bars of the rest before each entry of the section.
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
            if b"<pitch>" in self.part.bars[at]
        }
        return {at: line for at, line in found.items() if any(note.pitch for note in line)}


def cue_sources(sections: Sequence[Sequence[PartCopy]], after: int) -> list[CueSource]:
    """All parts of a score, score order, as others are cued by them.

    Args:
        sections: the parts of each; nothing has been put into them yet.
        after: bars of rest from which an entry is cued.
    """
    entries = [list(_before_entries(section, after)) for section in sections]
    cued = {bar for rests in entries for bars in rests for bar in bars}
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
    for bars in sources[place].entries:
        cue = _choose(bars, sources, place)
        if cue is not None:
            _write(target, cue, sources[place])
            count += 1
    return count


def _before_entries(section: Sequence[PartCopy], after: int) -> Iterator[range]:
    """The last bars of each rest of at least so many bars, before an entry."""
    start = 0
    for index, bars in enumerate(zip(*(part.bars for part in section), strict=True)):
        if not all(rests_in(bar) for bar in bars):
            rest = index - start
            if rest >= after:
                yield range(index - (2 if rest >= _TWO_BARS_FROM else 1), index)
            start = index + 1


def _choose(bars: range, sources: Sequence[CueSource], place: int) -> Shown | None:
    """The line with most notes there; of several such the nearest in score order, in octave."""
    mine = sources[place]
    if not mine.stand(bars[-1]).has_pitches:
        return None
    best: tuple[tuple[int, int, int, int], Shown] | None = None
    for index, other in enumerate(sources):
        lines = {bar: other.lines[bar] for bar in bars if bar in other.lines}
        if (
            other.section == mine.section
            or bars[-1] not in lines
            or not all(_fits(line, mine.bars[bar]) for bar, line in lines.items())
        ):
            continue
        first = min(lines)
        octaves, moved = moved_for(lines, other.stand(first), mine.stand(first))
        count = sum(note.pitch is not None for line in lines.values() for note in line)
        rank = (-count, abs(index - place), abs(octaves), index)
        if best is None or rank < best[0]:
            best = (rank, Shown(other, octaves, moved))
    return best[1] if best else None


def _fits(line: Sequence[CueNote], resting: BarInQuarters) -> bool:
    """True when a bar is long enough for a line and its divisions can say the lengths."""
    divisions = resting.divisions
    times = [time * divisions for note in line for time in (note.onset, note.length)]
    within = line[-1].onset + line[-1].length <= resting.end
    return within and all(time.denominator == 1 for time in times)


def _write(target: PartCopy, cue: Shown, mine: CueSource) -> None:
    lines = cut_out(list(cue.lines.values()))
    label = cue.source.part.short_name or cue.source.part.name
    if cue.octaves:
        label += f" (sounds {_octave_words(-cue.octaves)})"
    for bar, line in zip(cue.lines, lines, strict=True):
        measure = target.tree(bar)
        signs = mine.stand(bar).accidentals()
        _add_voice(measure, mine.bars[bar].divisions, line, signs, label)
        target.bars[bar] = serialised(measure)
        label = ""


def _octave_words(octaves: int) -> str:
    """How much higher a line sounds than it is written, in a copyist's words."""
    size = _OCTAVE_WORDS.get(abs(octaves))
    if size is None:
        return f"{abs(octaves)} octaves {'higher' if octaves > 0 else 'lower'}"
    ending = ("va" if size == "8" else "ma") if octaves > 0 else ("vb" if size == "8" else "mb")
    return size + ending


def _add_voice(
    measure: Element,
    divisions: Fraction,
    line: Sequence[CueNote],
    signs: AccidentalState,
    label: str,
) -> None:
    """Put a line of cue notes before a bar's rest: engravers count voices as they come."""
    voice = _upper_voice(measure)
    added = [_label(label, voice)] if label else []
    at = Fraction(0)
    for note in line:
        if note.onset > at:
            added.append(move("forward", note.onset - at, divisions))
        added.append(write_note(note, divisions, voice, signs))
        at = note.onset + note.length
    added.append(move("backup", at, divisions))
    music = next(n for n, child in enumerate(measure) if child.tag in {"note", "forward"})
    measure[music:music] = added


def _upper_voice(measure: Element) -> str:
    """The voice for the cue: the first, as its stems go up; the rest becomes the second."""
    voices = list(measure.iter("voice"))
    names = {voice.text for voice in voices}
    if names != {"1"}:
        return next(str(number) for number in range(1, 99) if str(number) not in names)
    for voice in voices:
        voice.text = "2"
    return "1"


def _label(text: str, voice: str) -> Element:
    return etree.fromstring(
        b'<direction placement="above"><direction-type>'
        b'<words font-style="normal" font-size="8">%b</words>'
        b"</direction-type><voice>%b</voice></direction>" % (escaped(text), voice.encode())
    )
