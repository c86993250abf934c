"""A part as things: read once, bar by bar, time and pitch worked out."""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.beams import Beams
from rewriter.comparing.beside_notes import TAGS, beside_notes
from rewriter.comparing.known_bars import KnownBar, KnownBars
from rewriter.comparing.marks import ON_EACH_NOTE, marks_of
from rewriter.comparing.own_signs import own_signs, unpitched
from rewriter.comparing.spans import End, paired
from rewriter.comparing.standing import Standing
from rewriter.comparing.things import HEADING, Bar, Note, Point, Sign, Thing, Twins, plain_text
from rewriter.scores.children import element_of
from rewriter.scores.events import Event, EventReader
from rewriter.scores.staff_signs import alter_in
from rewriter.theory.fifths import Interval, transpose
from rewriter.theory.numbers import whole
from rewriter.theory.pitch import FIFTHS_OF_STEP, Pitch
from rewriter.theory.time import Timeline

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lxml.etree import _Element as Element

    from rewriter.scores.events import BarEvents, WrittenPitch
    from rewriter.scores.notes import NoteForm
    from rewriter.scores.score import Part

UNMOVED: Final = Interval(0, 0)


class Contents(NamedTuple):
    """A part as things.

    Attributes:
        heading: names and the like.
        bars: in order.
        beamed: True when it has any beams; without, nothing is known of them.
    """

    heading: list[Thing]
    bars: list[Bar]
    beamed: bool


def contents(
    part: Part,
    divisions: int,
    by: Interval = UNMOVED,
    *,
    as_written: bool = False,
    with_breaks: bool = False,
    known: KnownBars | None = None,
) -> Contents:
    """What is in a part.

    Args:
        part: not changed.
        divisions: of a quarter, to count in; the same for all that is to be compared.
        by: moves notes, keys and chord symbols.
        as_written: transpositions are told but not applied.
        with_breaks: breaks of pages and systems are things too.
        known: bars that have been read, in the same divisions, of whatever part or score.

    Raises:
        FractionalDuration: these divisions do not hold its lengths.
    """
    standing = Standing(by, as_written=as_written)
    reading = _Reading(part, divisions, standing, with_breaks=with_breaks)
    return reading.contents(KnownBars() if known is None else known)


class _Told(NamedTuple):
    """What notes of a form say alike.

    Attributes:
        says: as notes have it; not to be changed.
        marks: that hang on each.
        unpitched: what stands for the pitch of those without one.
    """

    says: dict[str, str]
    marks: list[Sign]
    unpitched: str


class _Sounding(NamedTuple):
    """A pitch and its name."""

    pitch: Pitch
    name: str


_MIDDLE: Final = 4
"""The octave of a note whose octave cannot be."""


def _go_on(_: str) -> None:
    """An alteration that cannot be counts as none."""


_POINT: Final = partial(tuple.__new__, Point)
_THING: Final = partial(tuple.__new__, Thing)
_NOTE: Final = partial(tuple.__new__, Note)
"""Of what there are thousands: half the time of calling the types."""


class _Reading:
    """A part being read."""

    def __init__(
        self, part: Part, divisions: int, standing: Standing, *, with_breaks: bool
    ) -> None:
        self._with_breaks = with_breaks
        self._part = part
        self._beams = Beams(divisions)
        self._divisions = divisions
        self._standing = standing
        self._ends: list[End] = []
        self._things: list[Thing] = []
        self._pitches: dict[tuple[object, Interval, Interval], _Sounding] = {}
        self._forms: dict[NoteForm, _Told] = {}

    def contents(self, known: KnownBars) -> Contents:
        bars = []
        all_ends: list[End] = []
        here: dict[bytes, KnownBar] = {}
        anew = True  # what is in force may have changed
        for index, ahead in enumerate(EventReader(self._part, self._divisions).ahead()):
            if anew:
                scale = ahead.scale.numerator, ahead.scale.denominator
                here = known.in_force((*scale, *self._standing.in_force))
            text = _inside(ahead.data)
            anew = b"<attributes" in text
            alone = anew or index == 0  # the first bar's breaks are none
            there = None if alone else here.get(text)
            if there is None:
                found = there = self._read(index, ahead.read())
                if not alone:
                    here[text] = found
            found = there.at(index)
            bars.append(found.bar)
            all_ends += found.ends
        line = Timeline(bar.length for bar in bars)
        for span in paired(all_ends, line, self._divisions // 2):
            bars[span.at.bar].things.append(span)
        beamed = any(b"<beam" in bar for bar in self._part.bars)
        return Contents(_heading(self._part.entry), bars, beamed)

    def _read(self, index: int, read: BarEvents) -> KnownBar:
        self._things, self._ends = [], []
        notes = list(self._notes(index, read))
        metre = self._standing.metre
        self._things += self._beams.of_bar(index, read.events, metre)
        bar = Bar(notes, self._things, read.end, self._beams.beat, metre, Twins())
        return KnownBar(index, bar, self._ends)

    def _notes(self, index: int, read: BarEvents) -> Iterator[Note]:
        """Notes of a bar; whatever else is in it goes to the things on the way."""
        scale = read.scale
        graces = _grace_places(read.events)
        seen: set[tuple[Sign, Point, str]] = set()
        for event in read.events:
            form = event.form
            if form is None:
                scale = read.scales.get(event.place, scale)
                self._other(index, event, scale, read.end)
                continue
            told = self._forms.get(form)
            if told is None:
                told = self._forms[form] = self._told(form, event)
            at = _POINT((index, event.onset, graces.get(event.place, 0)))
            for mark in told.marks:
                key = mark, at, form.voice
                if mark.kind in ON_EACH_NOTE or mark.end or key not in seen:
                    seen.add(key)
                    thing = Thing(
                        mark.kind, mark.what, at, form.voice, form.staff, None, event.place
                    )
                    self._keep(thing, mark.end, mark.number)
            if form.kind != "rest":
                yield self._note(event, form, told, at)

    def _told(self, form: NoteForm, event: Event) -> _Told:
        """What all notes of a form say alike."""
        says = own_signs(form, event.data)
        if event.length:
            says["length"] = str(Fraction(event.length, self._divisions))
        without_pitch = unpitched(form) if form.kind != "rest" else ""
        return _Told(says, list(marks_of(form)), without_pitch)

    def _keep(self, thing: Thing, end: str, number: str) -> None:
        if end:
            self._ends.append(End(thing, "start" if end == "start" else "stop", number))
        else:
            self._things.append(thing)

    def _note(self, event: Event, form: NoteForm, told: _Told, at: Point) -> Note:
        written = event.pitch
        if written is None or written.step not in FIFTHS_OF_STEP:
            pitch, name = None, told.unpitched
        else:
            pitch, name = self._sounding(written)
        thing = _THING(("note", name, at, form.voice, form.staff, None, event.place))
        return _NOTE((thing, pitch, event.length, told.says))

    def _sounding(self, written: WrittenPitch) -> _Sounding:
        moves = self._standing.transposed, self._standing.moved
        key = written, *moves
        known = self._pitches.get(key)
        if known is None:
            octave = whole(written.octave)
            alter = alter_in(written.alter or None, _go_on)
            pitch = Pitch(written.step, alter, _MIDDLE if octave is None else octave)
            for move in moves:
                pitch = transpose(pitch, move) if move != UNMOVED else pitch
            known = self._pitches[key] = _Sounding(pitch, str(pitch))
        return known

    def _other(self, index: int, event: Event, scale: Fraction, end: int) -> None:
        if event.tag == "attributes":
            for kind, staff, said in self._standing.take(element_of(event.data)):
                at = Point(index, event.onset)
                self._things.append(Thing(kind, said, at, "", staff, None, event.place))
            return
        if event.tag not in TAGS or (
            event.tag == "print" and not (index and self._with_breaks)
        ):
            return
        beside = beside_notes(event.data, event.tag, self._standing.sounding)
        onset = max(event.onset + beside.late(scale), 0)
        if beside.edge:
            onset = 0 if beside.edge == "left" else max(end, event.onset)
        for sign in beside.signs:
            at = Point(index, onset)
            thing = Thing(sign.kind, sign.what, at, "", beside.staff, None, event.place)
            self._keep(thing, sign.end, sign.number)


def _inside(bar: bytes) -> bytes:
    """What stands between the tags of a bar, however it is broken into lines."""
    inside = bar[bar.find(b">") + 1 :]
    return inside.replace(b">\n<", b"><").lstrip() if inside.find(b"\n") >= 0 else inside


def _grace_places(events: list[Event]) -> dict[int, int]:
    """Grace notes by their place in the bar, counted back from the note they lead to."""
    found: dict[int, int] = {}
    number = 0
    chord = False  # the note after this one sounds with it
    for event in reversed(events):
        if event.form is None or not event.form.grace:
            number = 0 if event.form is not None or event.length else number
            continue
        number -= 0 if chord else 1
        found[event.place] = number
        chord = event.form.chord
    return found


def _heading(entry: Element) -> list[Thing]:
    """What the part list says that people read or players of files hear."""
    said: dict[str, list[str | None]] = {
        "part name": [entry.findtext("part-name")],
        "short name": [entry.findtext("part-abbreviation")],
        "instrument sound": [one.text for one in entry.iter("instrument-sound")],
        "ensemble": [
            "".join(map(str, one.itertext())) or "1" for one in entry.iter("ensemble")
        ],
    }
    return [
        Thing(kind, text, Point(HEADING))
        for kind, texts in said.items()
        for text in map(plain_text, texts)
        if text
    ]
