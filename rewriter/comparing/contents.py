"""A part as things: read once, bar by bar, time and pitch worked out."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.beams import beams
from rewriter.comparing.marks import ON_EACH_NOTE, marks_of
from rewriter.comparing.own_signs import own_signs, unpitched
from rewriter.comparing.signs import barline, breaks, direction, figures, harmony
from rewriter.comparing.spans import End, paired
from rewriter.comparing.standing import Standing
from rewriter.comparing.things import HEADING, Bar, Note, Point, Sign, Thing, plain_text
from rewriter.scores.children import element_of
from rewriter.scores.events import Event, EventReader
from rewriter.theory.fifths import Interval, transpose
from rewriter.theory.pitch import FIFTHS_OF_STEP, Pitch
from rewriter.theory.time import Timeline

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from lxml.etree import _Element as Element

    from rewriter.scores.events import BarEvents
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
) -> Contents:
    """What is in a part.

    Args:
        part: not changed.
        divisions: of a quarter, to count in; the same for all that is to be compared.
        by: moves notes, keys and chord symbols.
        as_written: transpositions are told but not applied.
        with_breaks: breaks of pages and systems are things too.

    Raises:
        FractionalDuration: these divisions do not hold its lengths.
    """
    standing = Standing(by, as_written=as_written)
    return _Reading(part, divisions, standing, with_breaks=with_breaks).contents()


class _Reading:
    """A part being read."""

    def __init__(
        self, part: Part, divisions: int, standing: Standing, *, with_breaks: bool
    ) -> None:
        self._with_breaks = with_breaks
        self._part = part
        self._divisions = divisions
        self._standing = standing
        self._ends: list[End] = []
        self._things: list[Thing] = []
        self._pitches: dict[tuple[object, Interval, Interval], Pitch | None] = {}

    def contents(self) -> Contents:
        bars = []
        beamed = any(b"<beam" in bar for bar in self._part.bars)
        for index, read in enumerate(EventReader(self._part, self._divisions).bars()):
            self._things = []
            notes = list(self._notes(index, read))
            self._things += beams(
                index,
                (event for event in read.events if event.form),
                self._standing.metre,
                self._divisions,
            )
            metre = self._standing.metre
            bars.append(Bar(notes, self._things, read.end, self._beat(), metre))
        line = Timeline(bar.length for bar in bars)
        for span in paired(self._ends, line, self._divisions // 2):
            bars[span.at.bar].things.append(span)
        return Contents(_heading(self._part.entry), bars, beamed)

    def _beat(self) -> int:
        metre = self._standing.metre
        if metre is None or not metre.groups:
            return self._divisions
        return max(int(min(metre.groups) * self._divisions), 1)

    def _notes(self, index: int, read: BarEvents) -> Iterator[Note]:
        """Notes of a bar; whatever else is in it goes to the things on the way."""
        scale = read.scale
        graces = _grace_places(read.events)
        seen: set[tuple[Sign, Point, str]] = set()
        for event in read.events:
            scale = read.scales.get(event.place, scale)
            if event.form is None:
                self._other(index, event, float(scale), read.end)
                continue
            at = Point(index, event.onset, graces.get(event.place, 0))
            for mark in marks_of(event.form):
                key = mark, at, event.form.voice
                if mark.kind in ON_EACH_NOTE or mark.end or key not in seen:
                    seen.add(key)
                    self._mark(mark, at, event)
            if event.form.kind != "rest":
                yield self._note(event, event.form, at)

    def _mark(self, mark: Sign, at: Point, event: Event) -> None:
        form = event.form
        voice, staff = (form.voice, form.staff) if form else ("", "")
        thing = Thing(mark.kind, mark.what, at, voice, staff, None, event.place)
        self._keep(thing, mark.end, mark.number)

    def _keep(self, thing: Thing, end: str, number: str) -> None:
        if end:
            self._ends.append(End(thing, "start" if end == "start" else "stop", number))
        else:
            self._things.append(thing)

    def _note(self, event: Event, form: NoteForm, at: Point) -> Note:
        pitch = self._sounding(event)
        what = str(pitch) if pitch else unpitched(form)
        thing = Thing("note", what, at, form.voice, form.staff, None, event.place)
        says = own_signs(form, event.data)
        if event.length:
            says["length"] = str(Fraction(event.length, self._divisions))
        return Note(thing, pitch, event.length, says)

    def _sounding(self, event: Event) -> Pitch | None:
        written = event.pitch
        if written is None or written.step not in FIFTHS_OF_STEP:
            return None
        moves = self._standing.transposed, self._standing.moved
        key = written, *moves
        if key not in self._pitches:
            try:
                pitch = Pitch(written.step, float(written.alter or 0), int(written.octave))
            except ValueError:
                pitch = Pitch(written.step, 0, 4)
            for move in moves:
                pitch = transpose(pitch, move) if move != UNMOVED else pitch
            self._pitches[key] = pitch
        return self._pitches[key]

    def _other(self, index: int, event: Event, scale: float, end: int) -> None:
        read = _OTHERS.get(event.tag)
        if read is None or (event.tag == "print" and not (index and self._with_breaks)):
            return
        element = element_of(event.data)
        if event.tag == "attributes":
            for kind, staff, said in self._standing.take(element):
                at = Point(index, event.onset)
                self._things.append(Thing(kind, said, at, "", staff, None, event.place))
            return
        onset = max(event.onset + _offset(element, scale), 0)
        if event.tag == "barline":
            onset = 0 if element.get("location") == "left" else max(end, event.onset)
        of_all = event.tag in {"barline", "print"}
        staff = "" if of_all else plain_text(element.findtext("staff")) or "1"
        for sign in read(element, self._standing.sounding):
            self._keep(
                Thing(sign.kind, sign.what, Point(index, onset), "", staff, None, event.place),
                sign.end,
                sign.number,
            )


def _offset(element: Element, scale: float) -> int:
    """How far after its place a direction is meant, in divisions counted in."""
    try:
        return round(float(plain_text(element.findtext("offset")) or 0) * scale)
    except (ValueError, OverflowError):
        return 0


_OTHERS: Final[dict[str, Callable[[Element, Interval], Iterator[Sign]]]] = {
    "attributes": lambda _element, _by: iter(()),
    "direction": lambda element, _by: direction(element),
    "barline": lambda element, _by: barline(element),
    "print": lambda element, _by: breaks(element),
    "harmony": lambda element, by: iter((harmony(element, by),)),
    "figured-bass": lambda element, _by: iter((figures(element),)),
}


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
