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

from rewriter.musicxml.note_reading import serialised
from rewriter.notating.parts_cue_notes import (
    CueNote,
    Stand,
    close_what_is_open,
    moved_for,
    take_line,
    write_note,
)
from rewriter.notating.parts_reading import number_text, placed
from rewriter.notating.parts_rests import rests_in
from rewriter.notating.words import escaped

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from lxml.etree import _Element as Element

    from rewriter.notating.parts_cue_notes import Reading
    from rewriter.notating.parts_reading import WrittenPart

_TWO_BARS_FROM: Final = 4
"""Bars of rest from which two bars of cue are shown, so that one is counted into them."""
_OCTAVE_WORDS: Final = {1: "8vb", -1: "8va", 2: "15mb", -2: "15ma"}


class Cue(NamedTuple):
    """A cue to write: its bars, and the notes of each in order."""

    bars: list[int]
    notes: list[list[CueNote]]
    source: WrittenPart


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
    mine = others[place]
    count = 0
    for first, entry in _long_rests(target.bars, after):
        two = entry - first >= _TWO_BARS_FROM
        cue = None
        if mine.stand(entry - 1).has_pitches:
            cue = _choose(list(range(entry - (2 if two else 1), entry)), others, place)
        if cue is not None:
            _write(target, cue, mine, others)
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


def _choose(bars: list[int], others: Sequence[Reading], place: int) -> Cue | None:
    """The line with most notes there; of several such the nearest in score order."""
    best: tuple[tuple[int, int, int], Cue] | None = None
    for index, other in enumerate(others):
        if index == place or not others[place].section_differs(other):
            continue
        lines = [take_line(other, bar) for bar in bars]
        if not all(
            _fits(line, others[place], bar) for line, bar in zip(lines, bars, strict=True)
        ):
            continue
        count = sum(note.pitch is not None for line in lines for note in line)
        rank = (-count, abs(index - place), index)
        if count and lines[-1] and (best is None or rank < best[0]):
            kept = [n for n, line in enumerate(lines) if any(x.pitch for x in line)]
            cue = Cue([bars[n] for n in kept], [lines[n] for n in kept], other.part)
            best = (rank, cue)
    return best[1] if best else None


def _fits(line: Sequence[CueNote], mine: Reading, bar: int) -> bool:
    """True when the divisions of the bar can say the lengths of a line."""
    divisions = mine.part.divisions_before(bar + 1)
    times = [time * divisions for note in line for time in (note.onset, note.length)]
    return all(time.denominator == 1 for time in times)


def _write(target: WrittenPart, cue: Cue, mine: Reading, others: Sequence[Reading]) -> None:
    source = next(other for other in others if other.part is cue.source)
    to = mine.stand(cue.bars[0])
    octaves, notes = moved_for(cue.notes, source.stand(cue.bars[0]), to)
    close_what_is_open(notes)
    label = cue.source.short_name
    if octaves:
        label += f" (sounds {_OCTAVE_WORDS.get(octaves, '8va' if octaves < 0 else '8vb')})"
    for place, (bar, line) in enumerate(zip(cue.bars, notes, strict=True)):
        measure = target.bar(bar)
        _add_voice(measure, target.divisions_before(bar), line, to, "" if place else label)
        target.bars[bar] = serialised(measure)


def _add_voice(
    measure: Element, divisions: Fraction, line: Sequence[CueNote], to: Stand, label: str
) -> None:
    """Put a line of cue notes beside the rest of a bar."""
    now = end = Fraction(0)
    for element, onset, length, divisions in placed(measure, divisions):  # noqa: B020, PLR1704 - the last counts
        if element.tag == "backup":
            now = max(onset - length, Fraction(0))
        elif element.tag in {"note", "forward"}:
            now = onset + length
            end = max(end, now)
    voices = {voice.text for voice in measure.iter("voice")}
    voice = next(str(number) for number in range(2, 99) if str(number) not in voices)
    added: list[Element] = []
    if now:
        added.append(_move("backup", now, divisions))
    if label:
        added.append(_label(label, voice))
    at = Fraction(0)
    signs = to.accidentals()
    for note in line:
        if note.onset > at:
            added.append(_move("forward", note.onset - at, divisions))
        added.append(write_note(note, divisions, voice, signs))
        at = note.onset + note.length
    if end > at:
        added.append(_move("forward", end - at, divisions))
    last = measure[-1] if len(measure) else None
    ends = last is not None and last.tag == "barline"
    place = len(measure) - 1 if ends else len(measure)
    measure[place:place] = added


def _move(tag: str, length: Fraction, divisions: Fraction) -> Element:
    element = etree.Element(tag)
    etree.SubElement(element, "duration").text = number_text(length * divisions)
    return element


def _label(text: str, voice: str) -> Element:
    return etree.fromstring(
        b'<direction placement="above"><direction-type><words font-size="8">%b</words>'
        b"</direction-type><voice>%b</voice></direction>" % (escaped(text), voice.encode())
    )
