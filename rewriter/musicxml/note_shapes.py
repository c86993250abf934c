"""Notes as bytes: all of a ``<note>`` but its pitch, worked out once per distinct form.

Real scores repeat a few hundred note forms thousands of times: the same duration, beam and
articulation under another pitch. So a note is cut in two, its pitch and the rest, and the rest
is worked out once and kept (:class:`NoteShape`). What is written back is three byte strings
with the pitch and the accidental between them.

The octave digit is written as one control byte (:data:`OCTAVE_BYTES`) that no XML document can
hold, so that a whole part moves by octaves with one ``bytes.translate`` (see :func:`settle`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.musicxml.escaping import escaped, quoted, word
from rewriter.musicxml.schema_order import ORDER

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Sequence

HIGHEST_OCTAVE: Final = 9
"""Of MusicXML's <octave>; the lowest is 0."""

OCTAVE_BYTES: Final = tuple(bytes([0x0E + octave]) for octave in range(HIGHEST_OCTAVE + 1))
"""The byte that stands for each written octave, 0 to 9, until the line's own is known."""

_TABLES: dict[int, bytes] = {}

SPANNERS: Final = frozenset(
    ("slur", "tuplet", "glissando", "slide", "wavy-line", "tremolo", "other-notation")
)
"""Notations that start on one note and stop on another; ties apart."""


_ON_ONE_NOTE: Final = frozenset(("wavy-line", "tuplet"))
"""What may begin and end on the same note, as programs write a trill line over one note."""


class OctaveUnwritable(Exception):  # noqa: N818 - caught and worded where the bar is known
    """A written octave below 0 or above 9, which MusicXML has no way to write."""


def settle(template: bytes, shift: int) -> bytes:
    """A template with its octaves written out, moved by whole octaves.

    Args:
        template: bytes with octave bytes in them.
        shift: whole octaves to add to every octave.

    Raises:
        OctaveUnwritable: a note would leave octaves 0 to 9.
    """
    table = _TABLES.get(shift)
    if table is None:
        codes = bytearray(range(256))
        for octave, code in enumerate(OCTAVE_BYTES):
            moved = octave + shift
            codes[code[0]] = ord(str(moved)) if 0 <= moved <= HIGHEST_OCTAVE else 0
        table = _TABLES[shift] = bytes(codes)
    settled = template.translate(table)
    if b"\0" in settled:
        raise OctaveUnwritable
    return settled


class Notation(NamedTuple):
    """One sign of ``<notations>``.

    Attributes:
        family: ``ornaments``, ``technical`` or ``articulations``; empty for the others.
        tag: element name.
        type: its ``type`` attribute, empty where it has none.
        number: its ``number`` attribute, ``1`` where it has none.
        data: the element as bytes.
        says: tags of the elements in it, such as ``artificial`` in a harmonic.
    """

    family: str
    tag: str
    type: str
    number: str
    data: bytes
    says: frozenset[str] = frozenset()

    @property
    def spans(self) -> bool:
        """True when the sign is one end of something that goes from note to note."""
        return self.tag in SPANNERS and self.type in ("start", "stop", "continue")


def ends_in_turn(
    notations: Iterable[Notation], is_open: Container[tuple[str, str]]
) -> list[Notation]:
    """The ends of spans on one note in the order in which they are meant.

    What is open before the note ends first, wherever its end stands. Then a trill line or a
    tuplet may begin and end on the note, in the order of the file; anything else that begins
    goes on to another note.

    Args:
        notations: of the note, in document order.
        is_open: (tag, number) of what is open before it.
    """
    first: list[Notation] = []
    then: list[Notation] = []
    begins: list[Notation] = []
    ended: set[tuple[str, str]] = set()
    for sign in notations:
        if not sign.spans:
            continue
        key = (sign.tag, sign.number)
        if sign.tag in _ON_ONE_NOTE and (
            sign.type == "start" or key in ended or key not in is_open
        ):
            then.append(sign)
        elif sign.type == "start":
            begins.append(sign)
        else:
            first.append(sign)
            ended |= {key} if sign.type == "stop" else set()
    return first + then + begins


class NoteShape:
    """A note without its pitch, ready to be written with any.

    Attributes:
        kind: ``pitch``, ``rest``, ``unpitched`` or, for a hair of time, ``forward``.
        opening: the ``<note>`` tag.
        start: ``<note>`` up to the pitch.
        after_pitch: duration, ties, voice, type, dots.
        after_accidental: everything after the accidental, closing tag included.
        length: divisions; 0 for grace notes.
        children: what the byte strings are made of, as (tag, bytes), in schema order; ties are
            called ``tie-start`` and ``tie-stop``; notations, pitch and accidental stand apart.
        notations: in document order.
        beams: (level, value).
        beam: the value of the first level; empty for none.
        printed: the ``<accidental>`` of the sketch as (name, attributes as bytes), or None.
        chord: True for all notes of a chord but the first.
        whole_bar: True for a rest that stands for the bar, whatever its length.
        spans: notations that go from note to note; ties apart.
        dynamic: True when a notation is a dynamic.
        slurs: slurs begun less slurs ended.
        carried: kinds that go into the lines, one entry a sign.
        dropped: kinds that are left behind, one entry a sign.
        count: how many notes of the sketch have this shape.
    """

    __slots__ = (
        "after_accidental", "after_pitch", "beam", "beams", "carried", "children", "chord",
        "count", "cue", "dropped", "dynamic", "grace", "kind", "length", "notations",
        "opening", "printed", "slurs", "spans", "staff", "start", "starts_tie", "stops_tie",
        "voice", "whole_bar",
    )  # fmt: skip

    def __init__(self) -> None:
        self.kind = "pitch"
        self.opening = b"<note>"
        self.children: list[tuple[str, bytes]] = []
        self.notations: list[Notation] = []
        self.beams: list[tuple[str, str]] = []
        self.printed: tuple[str, bytes] | None = None
        self.length = 0
        self.chord = self.grace = self.cue = self.whole_bar = False
        self.voice, self.staff = "1", "1"
        self.carried: list[str] = []
        self.dropped: list[str] = []
        self.count = 0

    def finish(self) -> NoteShape:
        """Sort the children and join the byte strings, once all is known."""
        self.children.sort(key=_place)
        self.starts_tie = self.stops_tie = self.dynamic = False
        self.spans: Sequence[Notation] = ()
        self.slurs = 0
        self.beam = dict(self.beams).get("1", "") if self.beams else ""
        first = before = after = last = b""
        for tag, data in self.children:
            where = _PLACES.get(tag, _NOWHERE)
            if where == _NOWHERE:
                continue
            if where >= _AFTER_NOTATIONS:
                last += data
            elif where >= _AFTER_ACCIDENTAL:
                after += data
            elif where >= _AFTER_PITCH:
                before += data
                if tag == "tie-start":
                    self.starts_tie = True
                elif tag == "tie-stop":
                    self.stops_tie = True
            else:
                first += data
        notations = b""
        if self.notations:
            notations = joined_notations(self.notations)
            self._sum_up_notations()
        self.start = self.opening + first + b"<chord/>" if self.chord else self.opening + first
        self.after_pitch = before
        self.after_accidental = after + notations + last + b"</note>\n"
        return self

    def _sum_up_notations(self) -> None:
        self.dynamic = any(notation.tag == "dynamics" for notation in self.notations)
        self.spans = [notation for notation in self.notations if notation.spans]
        for notation in self.spans:
            if notation.tag == "slur":
                self.slurs += (notation.type == "start") - (notation.type == "stop")

    def derived(
        self,
        *,
        without: Container[str] = (),
        notations: Iterable[Notation] | None = None,
        beams: list[tuple[str, str]] | None = None,
        add: Iterable[tuple[str, bytes]] = (),
        chord: bool | None = None,
    ) -> NoteShape:
        """A copy without some children, or with other notations, beams or children."""
        new = NoteShape()
        new.kind, new.opening, new.printed = self.kind, self.opening, self.printed
        new.length, new.grace, new.cue = self.length, self.grace, self.cue
        new.whole_bar, new.voice, new.staff = self.whole_bar, self.voice, self.staff
        new.carried, new.dropped, new.beams = self.carried, self.dropped, self.beams
        new.chord = self.chord if chord is None else chord
        new.children = [child for child in self.children if child[0] not in without]
        if beams is not None:
            new.beams = beams
            new.children = [child for child in new.children if child[0] != "beam"]
            new.children += [("beam", beam_bytes(level, value)) for level, value in beams]
        new.children += add
        new.notations = list(self.notations if notations is None else notations)
        return new.finish()

    def as_rest(self) -> NoteShape:
        """A rest as long as this note, in its place in the rhythm."""
        new = NoteShape()
        new.kind = "rest"
        new.length = self.length
        new.children = [child for child in self.children if child[0] in _REST_KEEPS]
        new.notations = [n for n in self.notations if n.tag == "tuplet"]
        return new.finish()


def beam_bytes(level: str, value: str) -> bytes:
    """A ``<beam>`` element."""
    return b'<beam number="%b">%b</beam>' % (quoted(level), escaped(value))


def joined_notations(notations: Iterable[Notation]) -> bytes:
    """``<notations>`` around its signs, those of one family in one element again.

    A note has one editorial remark of each kind, which the schema wants first.
    """
    loose: list[bytes] = []
    remarks: dict[str, bytes] = {}
    families: dict[str, list[bytes]] = {}
    for notation in notations:
        if notation.tag in _REMARKS:
            remarks.setdefault(notation.tag, notation.data)
        elif notation.family:
            families.setdefault(notation.family, []).append(notation.data)
        else:
            loose.append(notation.data)
    for family, members in families.items():
        name = word(family)
        loose.append(b"<%b>%b</%b>" % (name, b"".join(members), name))
    if remarks:
        loose = [remarks[tag] for tag in _REMARKS if tag in remarks] + loose
    return b"<notations>" + b"".join(loose) + b"</notations>" if loose else b""


_REMARKS: Final = ("footnote", "level")
_REST_KEEPS: Final = frozenset(("duration", "voice", "type", "dot", "time-modification"))
_APART: Final = frozenset(
    ("cue", "chord", "pitch", "unpitched", "rest", "instrument", "accidental", "stem", "staff",
     "notations")
)  # fmt: skip
"""Children that are not among a shape's: they stand elsewhere in it, or go."""
_ORDER: Final = [
    kind
    for tag in ORDER["note"]
    if tag not in _APART
    for kind in (("tie-stop", "tie-start") if tag == "tie" else (tag,))
] + ["unknown"]
_PLACES: Final = {tag: place for place, tag in enumerate(_ORDER)}
_AFTER_PITCH: Final = _ORDER.index("duration")
_AFTER_ACCIDENTAL: Final = _ORDER.index("time-modification")
_AFTER_NOTATIONS: Final = _ORDER.index("lyric")
_NOWHERE: Final = len(_ORDER)


def _place(child: tuple[str, bytes]) -> int:
    return _PLACES.get(child[0], _NOWHERE)
