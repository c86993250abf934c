"""What happens in a part, bar by bar, and when.

Time is counted in whole divisions of a quarter that the caller chooses, so that notes of parts
with different divisions compare as numbers. Repeats are read as written, not unfolded.

What goes wrong is put right as players would, and told (:class:`Slip`): a ``<backup>`` to
before the bar leads to its start; a note without a length that can be has none.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache, partial
from math import lcm
from typing import TYPE_CHECKING, Final, Literal, NamedTuple, Protocol

import msgspec
from lxml import etree

from rewriter.musicxml.note_reading import LONGEST, FractionalDuration
from rewriter.scores.children import children_of
from rewriter.scores.leaving import PLACES_ON_THE_PAGE, left_out_of
from rewriter.scores.notes import NoteForm, positive, read_form

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Iterator, Sequence

    from rewriter.scores.leaving import Leaving


_DIVISIONS: Final = re.compile(rb"<divisions[^>]*>([^<]*)</divisions>")
_DURATION: Final = re.compile(rb"<duration>([^<]*)</duration>")
_PITCH: Final = re.compile(
    rb"<pitch><step>([A-G])</step>(?:<alter>([^<]*)</alter>)?<octave>([0-9])</octave>\Z"
)
FINEST: Final = 16383**2
"""Divisions of a quarter; more are no music but a damaged file."""


class WrittenPitch(NamedTuple):
    """A pitch as the file writes it.

    Attributes:
        step: letter; empty where the file has none that can be.
        alter: semitones, as text; empty for none.
        octave: of the letter, as text.
    """

    step: str
    alter: str
    octave: str


class Event(NamedTuple):
    """A child of a bar, in time.

    Attributes:
        onset: divisions from the start of the bar; notes of a chord have its first one's.
        length: divisions; 0 for what takes no time. A ``<backup>`` or ``<forward>`` has the
            distance it goes.
        tag: element name.
        data: the element as bytes, without what only says where it stands on the page.
        place: index among the bar's elements (comments and the like not counted).
        form: of a note; None for all else.
        pitch: of a note that has one.
    """

    onset: int
    length: int
    tag: str
    data: bytes
    place: int
    form: NoteForm | None = None
    pitch: WrittenPitch | None = None


TimeSlip = Literal["before-the-bar", "no-length", "divisions"]


class Slip(msgspec.Struct, frozen=True):
    """Something a file says that cannot be, put right.

    Attributes:
        kind: ``before-the-bar`` for a backup, ``no-length`` for a note or move, ``divisions``;
            what stands before the notes of a staff by its name (``scores.attributes``).
        bar: index.
        onset: divisions from the start of the bar.
        said: what the file says.
    """

    kind: TimeSlip | Literal["metre", "key", "clef", "transposition"]
    bar: int
    onset: int
    said: str


class BarEvents(msgspec.Struct, frozen=True):
    """What happens in a bar.

    Attributes:
        events: in document order.
        end: divisions from its start; the furthest any note or ``<forward>`` reaches.
        slips: what had to be put right.
        scale: divisions counted in for one of the file's, where the bar begins.
        scales: the same from an ``<attributes>`` on that changes it, by its place.
    """

    events: list[Event]
    end: int
    slips: list[Slip]
    scale: Fraction
    scales: dict[int, Fraction]

    def scale_at(self, place: int) -> Fraction:
        """Divisions counted in for one of the file's, at an event.

        Args:
            place: of the event.
        """
        changed = [at for at in self.scales if at <= place]
        return self.scales[max(changed)] if changed else self.scale


class BarAhead(NamedTuple):
    """A bar that is not read yet.

    Attributes:
        data: ``<measure>`` as bytes, without what is left out.
        scale: divisions counted in for one of the file's, where the bar begins.
        read: what happens in it; to be asked for before the next bar.
    """

    data: bytes
    scale: Fraction
    read: Callable[[], BarEvents]


class InBars(Protocol):
    """What is written in bars: a part of a score, or one that is being made."""

    @property
    def bars(self) -> Sequence[bytes]:
        """Each ``<measure>`` as bytes."""

    def saying(self, *openings: bytes) -> list[int]:
        """Indexes of the bars in which elements of some kinds stand, but never within a note.

        Args:
            openings: what begins them, such as ``<words``.
        """


class EventReader:
    """Reads a part from its first bar to its last.

    Attributes:
        forms: every form of note met so far.
        left_out: how many things of each kind were left out, once all bars are being read.
    """

    def __init__(
        self, part: InBars, divisions: int, *, without: Sequence[Leaving] = PLACES_ON_THE_PAGE
    ) -> None:
        """Take a part.

        Args:
            part: not changed.
            divisions: of a quarter, to count in.
            without: what is left out of the bytes of events.
        """
        self.forms: list[NoteForm] = []
        self.left_out: Sequence[int] = ()
        self._part = part
        self._divisions = divisions
        self._without = without
        self._scale = Fraction(divisions)
        self._pitches: dict[bytes, tuple[WrittenPitch | None, dict[bytes, _Sized]]] = {}
        self._by_opening: dict[bytes, dict[bytes, _Sized]] = {}
        self._moves: dict[bytes, int] = {}
        self._lengths: dict[str, int] = {}
        self._slips: list[Slip] = []
        self._bar = self._at = 0

    def bars(self) -> Iterator[BarEvents]:
        """Each bar in turn.

        Raises:
            FractionalDuration: other divisions are needed; read again with those.
        """
        for bar in self.ahead():
            yield bar.read()

    def ahead(self) -> Iterator[BarAhead]:
        """Each bar in turn before it is read, for a caller who may know what is in it.

        Only bars without ``<attributes>`` may be passed over.
        """
        bars, self.left_out = left_out_of(self._part.bars, self._without)
        for index, data in enumerate(bars):
            self._bar = index
            yield BarAhead(data, self._scale, partial(self._read, data))

    def some(self, wanted: Collection[int]) -> Iterator[tuple[int, BarEvents]]:
        """Some bars with their indexes; of the others nothing is read but divisions.

        Args:
            wanted: indexes.

        Raises:
            FractionalDuration: other divisions are needed; read again with those.
        """
        last = max(wanted, default=-1)
        saying = [index for index in self._part.saying(b"<divisions") if index < last]
        for index in sorted({*saying, *wanted}):
            self._bar = index
            data = self._part.bars[index]
            if index in wanted:
                yield index, self._read(left_out_of([data], self._without)[0][0])
            else:
                self._take_divisions(data)

    def _read(self, data: bytes) -> BarEvents:
        events: list[Event] = []
        self._slips = []
        scale = before = self._scale
        scales: dict[int, Fraction] = {}
        self._at = end = onset = place = 0
        pitches = self._pitches
        new: Callable[..., Event] = tuple.__new__  # half the time of calling Event
        for child in _elements(data):
            if not child.startswith(b"<note"):
                end = max(end, self._at)
                events.append(self._other(child, place))
                if self._scale is not before:
                    before = scales[place] = self._scale
                place += 1
                continue
            head, _, rest = child.partition(b"</pitch>")
            known = pitches.get(head)
            pitch, forms = known if known is not None else self._read_head(head)
            sized = forms.get(rest)
            if sized is None:
                sized = forms[rest] = self._sized(child)
            form, length = sized
            if not form.chord:
                onset = self._at
                self._at = onset + length
            if length == 0 and not form.grace:
                self._slip("no-length", form.said_duration)
            events.append(new(Event, (onset, length, "note", child, place, form, pitch)))
            place += 1
        return BarEvents(events, max(end, self._at), self._slips, scale, scales)

    def _read_head(self, head: bytes) -> tuple[WrittenPitch | None, dict[bytes, _Sized]]:
        """What is known of notes that begin like this up to their pitch."""
        opening, _, _ = head.partition(b"<pitch>")
        known = _pitch(head), self._by_opening.setdefault(opening, {})
        self._pitches[head] = known
        return known

    def _sized(self, note: bytes) -> _Sized:
        form = read_form(note)
        self.forms.append(form)
        if form.grace or form.duration is None:
            return _Sized(form, 0)
        length = self._lengths.get(form.said_duration)
        if length is None:
            length = self._lengths[form.said_duration] = self._scaled(form.duration)
        return _Sized(form, length)

    def _scaled(self, duration: Fraction) -> int:
        length = duration * self._scale
        if length.denominator != 1:
            raise FractionalDuration(length.denominator)
        return length.numerator if length <= LONGEST else 0

    def _other(self, child: bytes, place: int) -> Event:
        tag = child[1 : _NAME_END.search(child).start()].decode()  # type: ignore[union-attr]  # every tag ends
        at = self._at
        length = 0
        if tag in {"backup", "forward"}:
            length = self._moved(child)
            self._at = at + (length if tag == "forward" else -length)
            if self._at < 0:
                before, self._at = -self._at, 0
                self._slip("before-the-bar", str(before))
        elif tag == "attributes" and b"<divisions" in child:
            self._take_divisions(child)
        return Event(at, length, tag, child, place)

    def _moved(self, child: bytes) -> int:
        length = self._moves.get(child)
        if length is None:
            found = _DURATION.search(child)
            said = found[1].decode() if found else ""
            duration = positive(said)
            if duration is None:
                if said.strip() != "0":  # real scores have moves by nothing
                    self._slip("no-length", said)
                return 0
            length = self._moves[child] = self._scaled(duration)
        return length

    def _take_divisions(self, child: bytes) -> None:
        for said in _DIVISIONS.findall(child):
            value = positive(said.decode())
            if value is None:
                self._slip("divisions", said.decode())
            elif self._divisions / value != self._scale:
                self._scale = self._divisions / value
                # The same bytes are another length from here on.
                self._pitches.clear()
                self._by_opening.clear()
                self._moves.clear()
                self._lengths.clear()

    def _slip(self, kind: TimeSlip, said: str) -> None:
        self._slips.append(Slip(kind, self._bar, self._at, said))


class _Sized(NamedTuple):
    """A form, and its length in the divisions counted in."""

    form: NoteForm
    length: int


_NAME_END: Final = re.compile(rb"[\s/>]")


def _elements(bar: bytes) -> list[bytes]:
    """The elements of a bar: notes are cut at their ends, what is between them one by one."""
    if bar.find(b"\n") >= 0:  # in a tenth of the time of `in`, which tries a number first
        bar = bar.replace(b">\n<", b"><")  # the tool's own has line breaks
    *pieces, rest = bar[bar.find(b">") + 1 :].split(b"</note>")
    cut: list[bytes] = []
    try:
        for piece in pieces:
            if piece.startswith((b"<note>", b"<note ")):
                cut.append(piece + b"</note>")
                continue
            start = max(piece.rfind(b"<note>"), piece.rfind(b"<note "))
            if start < 0:  # the note before has a note inside
                return children_of(bar)
            cut += _between(piece[:start])
            cut.append(piece[start:] + b"</note>")
        if rest != b"</measure>":
            cut += _between(rest[: -len(b"</measure>")])
    except etree.XMLSyntaxError:  # something else has a note inside
        return children_of(bar)
    return cut


@lru_cache(maxsize=512)
def _between(pieces: bytes) -> tuple[bytes, ...]:
    """What stands between two notes, one by one; in real scores it is often the same."""
    return tuple(children_of(b"<x>" + pieces + b"</x>"))


def _pitch(head: bytes) -> WrittenPitch | None:
    start = head.rfind(b"<pitch")  # the standard gives it no attributes, some program may
    if start < 0 or head[start + len(b"<pitch") :][:1] not in {b">", b" "}:
        return None
    usual = _PITCH.match(head[start:])
    if usual:
        step, alter, octave = usual.groups()
        return WrittenPitch(step.decode(), (alter or b"").decode().strip(), octave.decode())
    try:
        element = etree.fromstring(head[start:] + b"</pitch>")
    except etree.XMLSyntaxError:
        return WrittenPitch("", "", "")
    step, alter, octave = (
        (element.findtext(tag) or "").strip() for tag in ("step", "alter", "octave")
    )
    return WrittenPitch(step, alter, octave)


class NoCommonDivision(ValueError):  # noqa: N818 - as it is said
    """Durations that no divisions of a quarter that music needs can count together."""


def common_divisions(parts: Iterable[InBars]) -> int:
    """The fewest divisions of a quarter in which all parts can be counted.

    Args:
        parts: of one score.

    Raises:
        NoCommonDivision: there are none that music needs.
    """
    parts = list(parts)
    divisions = lcm(*(value.numerator for part in parts for value in divisions_said(part)))
    for part in parts:
        divisions = _finer(part, divisions)
    return divisions


def divisions_said(part: InBars) -> Iterator[Fraction]:
    """Every number of divisions a part counts a quarter in, but what cannot be."""
    for at in part.saying(b"<divisions"):
        for text in _DIVISIONS.findall(part.bars[at]):
            if value := positive(text.decode()):
                yield value


def _finer(part: InBars, divisions: int) -> int:
    """Divisions that hold every duration of a part as well."""
    if not any(b"." in text for bar in part.bars for text in _DURATION.findall(bar)):
        return divisions
    while divisions <= FINEST:
        try:
            for _ in EventReader(part, divisions).bars():
                pass
        except FractionalDuration as more:
            divisions *= more.denominator
        else:
            return divisions
    raise NoCommonDivision("its durations have no common division")
