"""One line of a bar as cue notes: taken, cut out, written."""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.escaping import word
from rewriter.scores.children import element_of
from rewriter.stands.durations import number_text
from rewriter.theory.metre import note_type
from rewriter.theory.numbers import decimal, whole
from rewriter.theory.pitch import STEPS, Pitch

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from fractions import Fraction

    from lxml.etree import _Element as Element

    from rewriter.musicxml.accidentals import AccidentalState
    from rewriter.scores.events import WrittenPitch
    from rewriter.scores.quarters import BarInQuarters

_KEPT_NOTATIONS: Final = frozenset(("tied", "slur", "tuplet", "articulations"))
_FOR_PLAYERS: Final = frozenset(("breath-mark", "caesura"))


class CueNote(NamedTuple):
    """A note or rest of a line to be cued.

    Attributes:
        onset: quarters from the start of the bar.
        length: quarters.
        pitch: written; None for rests.
        element: the ``<note>`` it comes from.
        stops_tie: True when a tie from a cued note before it ends here.
    """

    onset: Fraction
    length: Fraction
    pitch: Pitch | None
    element: Element
    stops_tie: bool = False


def leading_line(bar: BarInQuarters) -> list[CueNote]:
    """The leading line of a bar: the voice of its first note, the top notes of its chords.

    Nothing where the bar is silent, or overlaps itself.
    """
    notes = [
        (event, event.form)
        for event in bar.events
        if event.form is not None and not event.form.grace and not event.form.cue
    ]
    first = next((form for event, form in notes if event.pitch is not None), None)
    if first is None:
        return []
    line: list[CueNote] = []
    for event, form in notes:
        if (form.voice, form.staff) != (first.voice, first.staff):
            continue
        pitch = _pitch(event.pitch) if event.pitch is not None else None
        if not form.chord:
            element = element_of(event.data)
            line.append(CueNote(bar.onset(event), bar.length(event), pitch, element))
        elif line and pitch and line[-1].pitch and pitch.midi > line[-1].pitch.midi:
            line[-1] = line[-1]._replace(pitch=pitch)
    ends = [note.onset + note.length for note in line]
    overlaps = any(end > note.onset for end, note in zip(ends, line[1:], strict=False))
    return [] if overlaps else line


def _pitch(written: WrittenPitch) -> Pitch:
    alter = float(decimal(written.alter) or 0)
    step = written.step if written.step in STEPS else "C"
    octave = whole(written.octave) or 0
    return Pitch(step, int(alter) if alter.is_integer() else alter, octave)


def before(line: Sequence[CueNote], end: Fraction) -> list[CueNote]:
    """What of a line is heard before a moment of the bar, closed there.

    A note that goes on is shortened, where one written value says its length, and tuplets are
    not cut: what cannot be shown is left out.

    Args:
        line: in order; the notes it comes from stay as they are.
        end: quarters from the start of the bar.
    """
    kept = [n._replace(element=deepcopy(n.element)) for n in line if n.onset < end]
    if kept and kept[-1].onset + kept[-1].length > end:
        kept[-1:] = _shortened(kept[-1], end - kept[-1].onset)
    while kept and (kept[-1].onset + kept[-1].length).denominator.bit_count() > 1:
        kept.pop()
    while kept and kept[-1].pitch is None:
        kept.pop()
    _close_beams(kept)
    return kept


def _shortened(note: CueNote, length: Fraction) -> list[CueNote]:
    """A note by a shorter value; none where there is no such value."""
    written = note_type(length)
    element = note.element
    if written is None or element.find("time-modification") is not None:
        return []
    name, dots = written
    for old in [*element.findall("type"), *element.findall("dot")]:
        element.remove(old)
    for kind in ["type", *["dot"] * dots]:
        etree.SubElement(element, kind)
    element.findall("type")[0].text = name
    _drop_tied(note, "start")
    return [note._replace(length=length)]


def _close_beams(line: Sequence[CueNote]) -> None:
    """End the beams that go on behind a line."""
    open_beams: dict[str, list[Element]] = {}
    for note in line:
        for beam in note.element.findall("beam"):
            number, kind = beam.get("number", "1"), (beam.text or "").strip()
            if kind in {"begin", "continue"}:
                open_beams.setdefault(number, []).append(beam)
            elif kind == "end":
                open_beams.pop(number, None)
    for beams in open_beams.values():
        beams[-1].text = "end"
        if len(beams) == 1:
            _remove(beams[0])


def cut_out(lines: Sequence[Sequence[CueNote]]) -> list[list[CueNote]]:
    """The lines by themselves: closed where they go on, without what a cue does not show.

    Args:
        lines: in order; the notes they come from stay as they are.
    """
    copies = [[n._replace(element=deepcopy(n.element)) for n in line] for line in lines]
    _close_what_is_open(copies)
    return copies


def _close_what_is_open(lines: list[list[CueNote]]) -> None:
    flat = [note for line in lines for note in line]
    for note in flat:
        _keep_what_is_shown(note)
    _pair([sign for note in flat for sign in note.element.iter("slur")])
    _close_ties(lines)
    for line in lines:
        _pair([sign for note in line for sign in note.element.iter("tuplet")])
        _keep_whole_beams(line)
    for note in flat:
        for notations in note.element.findall("notations"):
            if len(notations) == 0:
                note.element.remove(notations)


def _keep_what_is_shown(note: CueNote) -> None:
    for sign in note.element.findall("notations/*"):
        for breath in [inner for inner in sign if inner.tag in _FOR_PLAYERS]:
            sign.remove(breath)
        is_empty = sign.tag == "articulations" and len(sign) == 0
        if sign.tag not in _KEPT_NOTATIONS or is_empty or note.pitch is None:
            _remove(sign)


def _pair(ends: Iterable[Element]) -> None:
    """Remove the ends that have no other."""
    is_open: dict[str, Element] = {}
    for sign in ends:
        number = sign.get("number", "1")
        if sign.get("type") == "start":
            _remove(is_open.pop(number, None))
            is_open[number] = sign
        elif sign.get("type") == "stop" and number in is_open:
            del is_open[number]
        else:
            _remove(sign)
    for sign in is_open.values():
        _remove(sign)


def _remove(sign: Element | None) -> None:
    parent = sign.getparent() if sign is not None else None
    if sign is not None and parent is not None:
        parent.remove(sign)


def _close_ties(lines: list[list[CueNote]]) -> None:
    """Ties between neighbours stay; a cue note's tie is drawn, never played."""
    before: CueNote | None = None
    for line in lines:
        for place, note in enumerate(line):
            tied = (
                before is not None
                and before.pitch == note.pitch
                and _types(before.element) >= {"start"}
                and _types(note.element) >= {"stop"}
            )
            if not tied:
                _drop_tied(before, "start")
                _drop_tied(note, "stop")
            line[place] = before = note._replace(stops_tie=tied)
    _drop_tied(before, "start")


def _types(note: Element) -> set[str]:
    return {tied.get("type", "") for tied in note.iter("tied")}


def _drop_tied(note: CueNote | None, kind: str) -> None:
    for tied in list(note.element.iter("tied")) if note is not None else ():
        if tied.get("type") == kind or tied.get("type") not in {"start", "stop"}:
            _remove(tied)


def _keep_whole_beams(line: Sequence[CueNote]) -> None:
    """Beams that cross a barline are not shown in a cue of single bars."""
    depth: dict[str, int] = {}
    for note in line:
        for beam in note.element.iter("beam"):
            number, kind = beam.get("number", "1"), (beam.text or "").strip()
            change = {"begin": 1, "end": -1}.get(kind, 0)
            depth[number] = depth.get(number, 0) + change
            if depth[number] not in {0, 1} or (kind == "continue" and not depth[number]):
                depth[number] = 99
    if any(depth.values()):
        for note in line:
            for beam in list(note.element.iter("beam")):
                _remove(beam)


def write_note(
    note: CueNote, divisions: Fraction, voice: str, signs: AccidentalState
) -> Element:
    """The cue note as an element."""
    source, written = note.element, etree.Element("note")
    etree.SubElement(written, "cue")
    accidental = b""
    if note.pitch is None:
        rest = etree.SubElement(written, "rest")
        if source.find("rest[@measure='yes']") is not None:
            rest.set("measure", "yes")
    else:
        step, alter, octave = note.pitch
        accidental = signs.sign(step, alter, octave, _printed(source), tied=note.stops_tie)
        pitch = etree.SubElement(written, "pitch")
        etree.SubElement(pitch, "step").text = step
        if alter:
            etree.SubElement(pitch, "alter").text = f"{alter:g}"
        etree.SubElement(pitch, "octave").text = str(octave)
    etree.SubElement(written, "duration").text = number_text(note.length * divisions)
    etree.SubElement(written, "voice").text = voice
    for tag in ("type", "dot"):
        written.extend(source.findall(tag))
    for kind in written.iterfind("type"):
        kind.set("size", "cue")
    if accidental:
        written.append(etree.fromstring(accidental))
    written.extend(source.findall("time-modification"))
    if note.pitch is not None:
        etree.SubElement(written, "stem").text = "up"
    written.extend(source.findall("beam"))
    written.extend(source.findall("notations"))
    return written


def _printed(source: Element) -> tuple[str, bytes] | None:
    accidental = source.find("accidental")
    if accidental is None:
        return None
    shown = b"".join(
        b' %b="yes"' % word(key)
        for key in ("cautionary", "editorial")
        if accidental.get(key) == "yes"
    )
    return (accidental.text or "").strip(), shown
