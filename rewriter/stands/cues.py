"""Cue notes: what another section plays just before an entry after a long rest.

The last bars of the rest show the other section's line in small notes with their stems up, its
name above, the section's own whole-bar rest below. In MusicXML they are ``<cue/>`` notes in a
voice of their own, which the standard has silent. (Stems up, the rest kept, a name above:
common practice, no source.)
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.escaping import escaped
from rewriter.musicxml.note_reading import serialised
from rewriter.stands.cue_notes import (
    cut_out,
    moved_for,
    take_line,
    write_note,
)
from rewriter.stands.rests import rests_in
from rewriter.stands.time import number_text, reach

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from lxml.etree import _Element as Element

    from rewriter.musicxml.accidentals import AccidentalState
    from rewriter.stands.cue_notes import CueNote
    from rewriter.stands.in_force import Reading
    from rewriter.stands.reading import WrittenPart

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

    source: Reading
    octaves: int
    lines: dict[int, list[CueNote]]


def write_cues(target: WrittenPart, others: Sequence[Reading], place: int, after: int) -> int:
    """Write cue notes into a part, before every entry after so many bars of rest.

    Args:
        target: its bars are changed.
        others: all parts of the score as they were, score order.
        place: which of them the target is.
        after: bars of rest from which an entry is cued.

    Returns:
        How many entries are cued.
    """
    count = 0
    for first, entry in _long_rests(target.bars, after):
        two = entry - first >= _TWO_BARS_FROM
        cue = _choose(range(entry - (2 if two else 1), entry), others, place)
        if cue is not None:
            _write(target, cue, others[place])
            count += 1
    return count


def _long_rests(bars: Sequence[bytes], after: int) -> Iterator[tuple[int, int]]:
    """First bar of each rest of at least so many bars, and the bar of the entry behind it."""
    start = 0
    for index, bar in enumerate(bars):
        if not rests_in(bar):
            if index - start >= after:
                yield start, index
            start = index + 1


def _choose(bars: Sequence[int], others: Sequence[Reading], place: int) -> Shown | None:
    """The line with most notes there; of several such the nearest in score order, in octave."""
    mine = others[place]
    if not mine.stand(bars[-1]).has_pitches:
        return None
    best: tuple[tuple[int, int, int, int], Shown] | None = None
    for index, other in enumerate(others):
        lines = {bar: take_line(other, bar) for bar in bars}
        kept = {bar: line for bar, line in lines.items() if any(note.pitch for note in line)}
        if (
            other.section == mine.section
            or bars[-1] not in kept
            or not all(_fits(line, mine, bar) for bar, line in kept.items())
        ):
            continue
        first = min(kept)
        octaves, moved = moved_for(kept, other.stand(first), mine.stand(first))
        count = sum(note.pitch is not None for line in kept.values() for note in line)
        rank = (-count, abs(index - place), abs(octaves), index)
        if best is None or rank < best[0]:
            best = (rank, Shown(other, octaves, moved))
    return best[1] if best else None


def _fits(line: Sequence[CueNote], mine: Reading, bar: int) -> bool:
    """True when the bar is long enough for a line and its divisions can say the lengths."""
    _, end, divisions = reach(mine.bar(bar), mine.part.divisions_before(bar))
    times = [time * divisions for note in line for time in (note.onset, note.length)]
    within = line[-1].onset + line[-1].length <= end
    return within and all(time.denominator == 1 for time in times)


def _write(target: WrittenPart, cue: Shown, mine: Reading) -> None:
    lines = cut_out(list(cue.lines.values()))
    label = cue.source.part.short_name
    if cue.octaves:
        label += f" (sounds {_octave_words(-cue.octaves)})"
    for bar, line in zip(cue.lines, lines, strict=True):
        measure = target.bar(bar)
        signs = mine.stand(bar).accidentals()
        _add_voice(measure, target.divisions_before(bar), line, signs, label)
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
    divisions = reach(measure, divisions).divisions
    voice = _upper_voice(measure)
    added = [_label(label, voice)] if label else []
    at = Fraction(0)
    for note in line:
        if note.onset > at:
            added.append(_move("forward", note.onset - at, divisions))
        added.append(write_note(note, divisions, voice, signs))
        at = note.onset + note.length
    added.append(_move("backup", at, divisions))
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


def _move(tag: str, length: Fraction, divisions: Fraction) -> Element:
    element = etree.Element(tag)
    etree.SubElement(element, "duration").text = number_text(length * divisions)
    return element


def _label(text: str, voice: str) -> Element:
    return etree.fromstring(
        b'<direction placement="above"><direction-type>'
        b'<words font-style="normal" font-size="8">%b</words>'
        b"</direction-type><voice>%b</voice></direction>" % (escaped(text), voice.encode())
    )
