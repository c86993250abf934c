"""Cue notes put into a bar: small notes above, the section's own rests below.

Where the section comes in within the bar its notes take over the voice of the cue, and its
rests before them are a voice of their own, so that stems and rests lie as in any bar of two
voices and no slur or tie changes its voice. (Common practice, no source.)
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from lxml import etree

from rewriter.musicxml.accidentals import name_of
from rewriter.musicxml.escaping import escaped
from rewriter.stands.cue_notes import write_note
from rewriter.stands.durations import move
from rewriter.theory.numbers import decimal, whole

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lxml.etree import _Element as Element

    from rewriter.musicxml.accidentals import AccidentalState
    from rewriter.scores.quarters import BarInQuarters
    from rewriter.stands.cue_notes import CueNote
    from rewriter.theory.pitch import Pitch

_BEFORE_ACCIDENTAL = frozenset(
    ("grace", "chord", "pitch", "duration", "tie", "instrument", "footnote", "level", "voice",
     "type", "dot")
)  # fmt: skip


def add_cue(
    measure: Element,
    bar: BarInQuarters,
    line: Sequence[CueNote],
    signs: AccidentalState,
    label: str,
) -> None:
    """Put a line of cue notes before a bar's own: engravers count voices as they come.

    Args:
        measure: changed.
        bar: the same, as it was read.
        line: not beyond the section's first note in the bar.
        signs: in force where the bar begins.
        label: words above the first note; empty for none.
    """
    voice = _upper_voice(measure)
    added = [_label(label, voice)] if label else []
    at = Fraction(0)
    for note in line:
        if note.onset > at:
            added.append(move("forward", note.onset - at, bar.divisions))
        added.append(write_note(note, bar.divisions, voice, signs))
        at = note.onset + note.length
    added.append(move("backup", at, bar.divisions))
    _sign_after(measure, {_place(note.pitch): note.pitch.alter for note in line if note.pitch})
    music = next(n for n, child in enumerate(measure) if child.tag in {"note", "forward"})
    measure[music:music] = added


def _upper_voice(measure: Element) -> str:
    """The voice for the cue: the first, as its stems go up; the rests become the second."""
    notes = measure.findall("note")
    names = {note.findtext("voice", "1") for note in notes}
    if (
        names != {"1"}
        or measure.find("note/voice") is None
        or measure.find("backup") is not None
    ):
        return next(str(number) for number in range(1, 99) if str(number) not in names)
    for note in notes:
        if note.find("rest") is None:
            break
        for voice in note.findall("voice"):
            voice.text = "2"
    return "1"


def _place(pitch: Pitch) -> tuple[str, int]:
    return pitch.step, pitch.octave


def _sign_after(measure: Element, altered: dict[tuple[str, int], float]) -> None:
    """Print the signs that the section's own notes need after those of the cue."""
    for note in measure.findall("note"):
        place = (note.findtext("pitch/step", ""), whole(note.findtext("pitch/octave", "")) or 0)
        alter = float(decimal(note.findtext("pitch/alter", "")) or 0)
        is_tied = note.find("tie[@type='stop']") is not None
        if place not in altered or note.findtext("staff", "1") != "1" or is_tied:
            continue
        if altered.pop(place) != alter and note.find("accidental") is None and name_of(alter):
            sign = etree.Element("accidental")
            sign.text = name_of(alter)
            note.insert(sum(child.tag in _BEFORE_ACCIDENTAL for child in note), sign)


def _label(text: str, voice: str) -> Element:
    return etree.fromstring(
        b'<direction placement="above"><direction-type>'
        b'<words font-style="normal" font-size="8">%b</words>'
        b"</direction-type><voice>%b</voice></direction>" % (escaped(text), escaped(voice))
    )
