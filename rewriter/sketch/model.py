"""A voice of the short score, bar by bar, ready to be played by any section at any octave.

It keeps what it holds as finished bytes, so that writing a part is joining them; pitches stand
in them as octave bytes (see ``musicxml.note_shapes``). Its bars are those of a ``Frame``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Final, Literal, NamedTuple

import msgspec

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rewriter.musicxml.note_shapes import NoteShape
    from rewriter.theory.dynamics import Strength
    from rewriter.theory.techniques import Technique
    from rewriter.theory.time import Timeline

Scope = Literal["line", "score", "every"]
"""Who has a sign: each line of this voice, the top part for all, or every part."""


LineEnd = tuple[str, str, str]
"""One end of a hairpin, of dashes or a bracket: tag, ``start`` or ``stop``, number."""

Alterations = dict[str, float]
"""What a key signature does to each letter, in semitones."""


class SketchPitch(NamedTuple):
    """A pitch of the sketch, made sounding.

    Attributes:
        step: letter.
        alter: semitones, fractions for microtones.
        octave: of the letter.
        midi: sounding MIDI number.
        data: ``<pitch>`` as bytes, the octave as an octave byte.
    """

    step: str
    alter: float
    octave: int
    midi: float
    data: bytes


class Note(msgspec.Struct, eq=False, gc=False):
    """A note, rest or grace note of a voice, with the chord notes that sound with it.

    A struct, since there are so many: it is made in a fifth of the time of another object.

    Attributes:
        onset: divisions from the start of the bar.
        length: divisions; 0 for grace notes.
        shape: all but the pitch.
        pitch: None for rests.
        sign: the ``<accidental>`` as bytes, empty where none is printed.
        chord: the other notes of the chord.
        scope: as a sign has one: each line has its own notes.
    """

    onset: int
    length: int
    shape: NoteShape
    pitch: SketchPitch | None
    sign: bytes = b""
    chord: tuple[Note, ...] = ()
    scope: ClassVar[Literal["line"]] = "line"

    @property
    def piece(self) -> bytes:
        """The finished ``<note>`` elements, chord notes included."""
        return b"".join(_pieces((self,)))


def _pieces(items: Iterable[Note | Sign]) -> list[bytes]:
    """What is joined to write items: of each note pieces of its shape, pitch, accidental."""
    pieces: list[bytes] = []
    for item in items:
        if not isinstance(item, Note):
            pieces.append(item.piece)
            continue
        shape, pitch = item.shape, item.pitch
        if pitch is not None:
            middle = pitch.data
        elif shape.kind == "forward":
            middle = b""
        else:
            middle = b'<rest measure="yes"/>' if shape.whole_bar else b"<rest/>"
        pieces += (shape.start, middle, shape.after_pitch, item.sign, shape.after_accidental)
        if item.chord:
            pieces += _pieces(item.chord)
    return pieces


class Sign(NamedTuple):
    """Anything in a bar that is not a note: directions, mid-bar attributes, sounds.

    Attributes:
        onset: divisions from the start of the bar, where the element stands.
        scope: who has it.
        piece: the element as bytes.
        kind: ``direction``, ``attributes``, ``barline``, ``sound`` or the element's name.
        detail: for directions, what they say (see ``sketch.directions``); else None.
        alterations: for attributes with a key, what the key does to each letter.
        line: for one end of a hairpin or line that the tool writes itself, (tag, type, number).
    """

    onset: int
    scope: Scope
    piece: bytes
    kind: str
    detail: DirectionDetail | None = None
    alterations: Alterations | None = None
    line: LineEnd | None = None

    def speaks_of(self, notes: Sequence[Note], place: int) -> int:
        """Which note of its bar it speaks of: the one at its moment, where it has an offset.

        Args:
            notes: of the voice in the bar.
            place: of the note it stands before, among them; hairpins speak of no other.
        """
        detail = self.detail
        if detail is None or not detail.offset or detail.spans:
            return place
        moment = self.onset + detail.offset
        for at, note in enumerate(notes):
            if note.onset <= moment < note.onset + note.length:
                return at
        return place

    def stood_before(self, note: Note) -> Sign:
        """The same sign at the same moment, standing before another note of its bar."""
        if self.detail is None:
            return self
        away = self.onset - note.onset
        detail = self.detail._replace(offset=self.detail.offset + away)
        return self._replace(onset=note.onset, piece=self.detail.at(away), detail=detail)

    @property
    def lines(self) -> tuple[LineEnd, ...]:
        """Ends of hairpins, dashes and brackets in it."""
        if self.line is not None:
            return (self.line,)
        return tuple(span[:3] for span in self.detail.spans) if self.detail else ()


class DirectionDetail(NamedTuple):
    """What a direction says, as far as parts must know.

    Attributes:
        dynamic: ``<dynamics>`` as bytes, empty for none.
        techniques: ways of playing in it, in their order.
        expression: words of expression in it, such as ``con anima``; empty for none.
        string: words in it that name a string, such as ``sul G``; empty for none.
        rehearsal: the rehearsal mark in it; empty for none.
        spans: ends of hairpins, dashes and brackets in it: (tag, type, number, data).
        head: the element up to its ``<offset>``.
        tail: the element from behind its ``<offset>``.
        offset: divisions; added to the onset of the element.
        offset_sounds: True when playback follows the offset too.
    """

    dynamic: bytes = b""
    techniques: tuple[Technique, ...] = ()
    expression: str = ""
    string: str = ""
    rehearsal: str = ""
    spans: tuple[tuple[str, str, str, bytes], ...] = ()
    head: bytes = b""
    tail: bytes = b""
    offset: int = 0
    offset_sounds: bool = False

    def at(self, offset: int) -> bytes:
        """The element moved by more divisions without moving where it stands."""
        total = self.offset + offset
        heard = b' sound="yes"' if self.offset_sounds else b""
        middle = b"<offset%b>%d</offset>" % (heard, total) if total else b""
        return self.head + middle + self.tail


class VoiceBar:
    """One bar of a voice: notes and signs in order, and the bar as finished bytes.

    Attributes:
        items: notes, signs of this line, and the signs all parts share.
        template: all pieces but those only the top part has.
        top_template: all pieces.
        plain: True where the bar holds one whole-bar rest and nothing of its own.
    """

    __slots__ = ("_begins", "_notes", "items", "plain", "template", "top_template")

    def __init__(self, items: list[Note | Sign]) -> None:
        self.items = items
        self.template = b""
        self.top_template = b""
        self.plain = False
        self._notes: list[Note] | None = None
        self._begins: Sequence[int] | None = None

    @property
    def notes(self) -> list[Note]:
        """The notes, rests and grace notes included; asked for once the items are settled."""
        if self._notes is None:
            self._notes = [item for item in self.items if isinstance(item, Note)]
        return self._notes

    @property
    def begins(self) -> Sequence[int]:
        """For every note the place where its tuplet or tremolo begins; its own if none.

        A range where there is no tuplet or tremolo in the bar.
        """
        if self._begins is None:
            self._begins = _beginnings(self.notes)
        return self._begins

    def write(self) -> None:
        """Join the templates from the pieces of the items."""
        items = self.items
        self.top_template = self.template = b"".join(_pieces(items))
        if {*map(type, items)} != _ONLY_NOTES:
            own = [item for item in items if item.scope != "score"]
            if len(own) != len(items):
                self.template = b"".join(_pieces(own))
        self.plain = len(items) == 1 and _is_bar_rest(items[0])


def _beginnings(notes: Sequence[Note]) -> Sequence[int]:
    begun: list[int] = []
    inside = 0
    for place, note in enumerate(notes):
        begun.append(begun[-1] if inside > 0 and begun else place)
        for sign in note.shape.notations:
            if sign.tag in {"tuplet", "tremolo"}:
                inside += (sign.type == "start") - (sign.type == "stop")
    alone = range(len(notes))
    return alone if begun == [*alone] else begun


_ONLY_NOTES: Final = {Note}


def _is_bar_rest(item: Note | Sign) -> bool:
    return isinstance(item, Note) and item.shape.whole_bar


class Sounding(NamedTuple):
    """A sounding note of a voice: a tied run is one.

    Attributes:
        bar: index from 0 of the bar its first note is written in.
        start: divisions from the start of the piece.
        length: divisions, over barlines; 0 for grace notes.
        midi: sounding.
        group: index of the slurred group, -1 for none.
        index: position of its first note among the notes of the voice.
    """

    bar: int
    start: int
    length: int
    midi: float
    group: int
    index: int  # type: ignore[assignment]  # tuple.index is of no use here

    @property
    def end(self) -> int:
        """Divisions from the start of the piece."""
        return self.start + self.length

    def leads_to(self, other: Sounding) -> bool:
        """True for a grace note and what it is played before."""
        return self.length == 0 and (self.bar, self.start) == (other.bar, other.start)


class StrengthFrom(msgspec.Struct, frozen=True):
    """From some time on a voice is so strong.

    Attributes:
        time: divisions from the start of the piece.
        strength: until the next.
    """

    time: int
    strength: Strength


class Voice(NamedTuple):
    """One line of music.

    Attributes:
        name: for people.
        bars: its bars.
        soundings: what it sounds, in order.
        timeline: where its bars begin.
        firsts: how many notes stand before each bar, and in all.
        of_strings: True where a sign is true on some strings only, such as a harmonic.
        chordal: True where several notes are to be divided somewhere.
        strengths: where they change, in order; it is plain before the first.
        has_techniques: True where words somewhere ask for a way of playing.
    """

    name: str
    bars: list[VoiceBar]
    soundings: list[Sounding]
    timeline: Timeline
    firsts: list[int]
    of_strings: bool = False
    chordal: bool = False
    strengths: Sequence[StrengthFrom] = ()
    has_techniques: bool = False
