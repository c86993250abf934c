"""What a voice of a score says, sign by sign, read from the standard alone.

It shares no line with the package. An entry is a kind with all it says (``dynamics p``,
``slur start``, ``words dolce``) at a moment; what stands on several notes of a chord is one.
Source of the elements: W3C MusicXML 4.0.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from tests.outside.reference import Clock, Event

FAMILIES = ("ornaments", "technical", "articulations")
SPANS = {
    "slur", "tied", "tuplet", "glissando", "slide", "wavy-line", "tremolo", "wedge", "dashes",
    "bracket", "octave-shift", "pedal",
}  # fmt: skip
NOT_SIGNS = {"footnote", "level", "offset", "staff", "voice", "listening"}


class Moment(NamedTuple):
    """A bar from 0, quarters from its start, and of grace notes which: -1 is the last."""

    bar: int
    onset: Fraction
    grace: int = 0


class Entry(NamedTuple):
    """One sign: what it is, where, and for spans its number."""

    kind: str
    at: Moment
    number: str = ""
    on_note: bool = False


class Chord(NamedTuple):
    """A note, chord or rest: when, how long, its sounding pitches, whether ties hold it."""

    at: Moment
    length: Fraction
    pitches: frozenset[float]

    @property
    def end(self) -> tuple[int, Fraction]:
        return self.at.bar, self.at.onset + self.length


class Said(NamedTuple):
    """What a voice says: its notes, what hangs on them, and the directions and bar signs."""

    chords: list[Chord]
    entries: list[Entry]


def said_by(part: etree._Element, staff: str | None = None, voice: str | None = None) -> Said:
    """What a part says, or one voice of it, with the directions that belong to it.

    Args:
        part: of a partwise score.
        staff: None for all.
        voice: None for all.
    """
    named = {one.text for one in part.iterfind("measure/note/voice")}
    said = Said([], [])
    clock = Clock()
    for bar, measure in enumerate(part.findall("measure")):
        graces: dict[str, list[list[Event]]] = {}
        for events in _together(clock.events(measure)):
            event = events[0]
            here = staff in {None, event.staff}
            if event.element.tag == "note":
                if here and voice in {None, event.voice}:
                    _take_notes(events, bar, graces.setdefault(event.voice, []), said)
            elif event.element.tag == "direction":
                mine = here and (
                    voice is None or event.element.findtext("voice") in {None, voice}
                    or event.element.findtext("voice") not in named
                )  # fmt: skip
                at = Moment(bar, event.onset)
                said.entries.extend(
                    one._replace(at=at) for one in of_direction(event.element, mine=mine)
                )
            elif event.element is not measure:
                at = Moment(bar, _onset(event))
                said.entries.extend(one._replace(at=at) for one in _of_bar(event.element))
        for waiting in graces.values():  # behind the last note of the bar
            for rank, chord in enumerate(waiting):
                _take_chord(chord, Moment(bar, chord[0].onset, rank - len(waiting)), said)
    return said


def _together(events: Iterator[Event]) -> Iterator[list[Event]]:
    """Events, the notes of a chord as one."""
    chord: list[Event] = []
    for event in events:
        if chord and event.element.find("chord") is not None:
            chord.append(event)
            continue
        if chord:
            yield chord
        chord = [event]
    yield chord


def _take_notes(chord: list[Event], bar: int, graces: list[list[Event]], said: Said) -> None:
    if chord[0].element.find("grace") is not None:
        graces.append(chord)
        return
    for rank, grace in enumerate(graces):
        _take_chord(grace, Moment(bar, chord[0].onset, rank - len(graces)), said)
    graces.clear()
    _take_chord(chord, Moment(bar, chord[0].onset), said)


def _take_chord(chord: list[Event], at: Moment, said: Said) -> None:
    silent = chord[0].element.find("cue") is not None
    pitches = frozenset(
        _midi(event) for event in chord if event.element.find("pitch") is not None
    )
    said.chords.append(Chord(at, chord[0].length, frozenset() if silent else pitches))
    kinds = dict.fromkeys(one for event in chord for one in of_note(event.element))
    said.entries.extend(one._replace(at=at, on_note=True) for one in kinds)


def _midi(event: Event) -> float:
    pitch = event.element.find("pitch")
    assert pitch is not None
    step = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    octave = int(pitch.findtext("octave", "0"))
    alter = float(pitch.findtext("alter", "0") or 0)
    return (
        12 * (octave + 1)
        + step[pitch.findtext("step", "C").strip()]
        + alter
        + (event.transposed_by)
    )


def _onset(event: Event) -> Fraction:
    """When something in a bar is; barlines at its ends, however long each part has the bar."""
    places = {"right": END_OF_BAR, "left": Fraction(0)}
    if event.element.tag != "barline":
        return event.onset
    return places.get(event.element.get("location", "right"), event.onset)


END_OF_BAR = Fraction(10**4)
NOWHERE = Moment(-1, Fraction(0))


def of_note(note: etree._Element) -> Iterator[Entry]:
    """What hangs on a note; of a cue or unpitched note only its tuplet."""
    silent = note.find("cue") is not None or note.find("unpitched") is not None
    if silent:
        for tuplet in note.iterfind("notations/tuplet"):
            yield _entry(tuplet)
        yield Entry("cue" if note.find("cue") is not None else "unpitched", NOWHERE)
        return
    for tag in ("grace", "lyric", "play", "notehead"):
        for _ in note.findall(tag):
            yield Entry(tag, NOWHERE)
    ends = dict.fromkeys(
        one.get("type", "start")
        for tag in ("tie", "notations/tied")
        for one in note.iterfind(tag)
    )
    yield from (Entry(f"tied {end}", NOWHERE) for end in ends)
    for notations in note.iterfind("notations"):
        for sign in notations.iterchildren(etree.Element):
            if sign.tag in FAMILIES:
                yield from (_entry(one) for one in sign.iterchildren(etree.Element))
            elif sign.tag not in {"tied", "footnote", "level"}:
                yield _entry(sign)


def _entry(sign: etree._Element) -> Entry:
    """A sign with what it says; of a span which end, of a dynamic which."""
    tag = str(sign.tag)
    if tag in SPANS:
        number = sign.get("number", "1")
        says = sign.get("type", "")
        return Entry(f"{tag} {says}", NOWHERE, number)
    if tag == "dynamics":
        marks = "+".join(one.text or str(one.tag) for one in sign.iterchildren(etree.Element))
        return Entry(f"dynamics {marks}", NOWHERE)
    if tag in {"words", "rehearsal", "metronome", "breath-mark", "caesura", "other-technical",
               "other-articulation", "other-ornament", "symbol"}:  # fmt: skip
        return Entry(f"{tag} {' '.join(' '.join(sign.itertext()).split())}".strip(), NOWHERE)
    return Entry(tag, NOWHERE)


def of_direction(direction: etree._Element, *, mine: bool) -> Iterator[Entry]:
    """What a direction says; of other voices and staves marked as theirs."""
    for sign in direction.iterfind("direction-type/*"):
        one = _entry(sign)
        if one.kind in {"words", "rehearsal", "metronome"}:
            continue  # it says nothing
        yield one if mine else one._replace(kind=f"of others: {one.kind}")
    for sound in direction.iterfind("sound"):
        for one in _of_sound(sound):
            yield one if mine else one._replace(kind=f"of others: {one.kind}")


def _of_sound(sound: etree._Element) -> Iterator[Entry]:
    yield from (Entry(f"sound {name}={value}", NOWHERE) for name, value in sound.items())


def _of_bar(element: etree._Element) -> Iterator[Entry]:
    """What stands in a bar beside notes and directions."""
    tag = str(element.tag)
    if tag == "barline":
        place = element.get("location", "right")
        for sign in element.iterchildren(etree.Element):
            says = " ".join(
                f"{name}={value}" for name, value in sorted(sign.items())
                if name in {"number", "type", "direction", "times"}
            )  # fmt: skip
            text = (sign.text or "").strip() if sign.tag == "bar-style" else ""
            yield Entry(" ".join(f"{place} {sign.tag} {says} {text}".split()), NOWHERE)
    elif tag == "attributes":
        for child in element.iterchildren(etree.Element):
            if child.tag in {"clef", "staff-details"}:
                yield Entry(str(child.tag), NOWHERE)
            elif child.tag == "time":
                yield Entry(
                    f"time {'/'.join(t.strip() for t in child.itertext() if t.strip())}",
                    NOWHERE,
                )
    elif tag == "sound":
        yield from _of_sound(element)
    elif tag in {"harmony", "figured-bass", "print"}:
        yield Entry(tag, NOWHERE)
