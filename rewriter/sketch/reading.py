"""One pass over a part of the sketch: its bars as a frame, one of its voices as a voice.

This pass is the tool's hot path. A note is written out by lxml, cut behind its pitch, and
looked up twice: all up to the pitch, and the rest (see ``musicxml.note_shapes``).
"""

from __future__ import annotations

import re
from copy import deepcopy
from functools import cached_property
from typing import TYPE_CHECKING, Final

from lxml import etree

from rewriter.musicxml.note_reading import ShapeReader, scaled_duration, serialised
from rewriter.musicxml.note_shapes import OCTAVE_BYTES, NoteShape
from rewriter.musicxml.remembering import Remembered
from rewriter.problems import Refused
from rewriter.sketch.directions import DirectionParts, read_direction
from rewriter.sketch.frames import FrameReader
from rewriter.sketch.harmonies import moved_harmony
from rewriter.sketch.model import DirectionDetail, FrameBar, Note, Scope, Sign, SketchPitch
from rewriter.sketch.ornaments import has_marks, with_moved_marks
from rewriter.sketch.raw import Keep, RawBar, Wanted
from rewriter.sketch.sounds import for_strings, scope_of_sound
from rewriter.theory.fifths import Interval, transpose
from rewriter.theory.pitch import SEMITONES_OF_STEP, Pitch, midi

if TYPE_CHECKING:
    from collections.abc import Callable

    from lxml.etree import _Element as Element

_PITCHED: Final = re.compile(
    rb"(<note[^>]*>(?:<grace[^>]*/>|<cue/>|<chord/>)*)<pitch><step>([A-G])</step>"
    rb"(?:<alter>([^<]*)</alter>)?<octave>([0-9])</octave>"
)
_VOICES: Final = etree.XPath("measure/note/voice/text()", smart_strings=False)
_HIGHEST_ALTER: Final = 4
_LOWEST_KNOWN, _HIGHEST_KNOWN = -12, 140

_FOR_LINE: Final = frozenset(("listening", "grouping"))
_FOR_SCORE: Final = frozenset(("link", "bookmark"))
_DIRECTIONS: Final[Remembered[DirectionParts]] = Remembered()
"""Directions by scale and bytes, from one score to the next: most are the same."""

_OF_STRINGS: Final = frozenset(("harmonic", "open-string"))


_Head = tuple[SketchPitch | None, dict[bytes, NoteShape]]
"""A note up to its pitch: the pitch, and the shapes met behind it, by their bytes."""


class PartReader:
    """Reads one voice of one part.

    Attributes:
        bars: what was read.
        shapes: every note form met, for counting what was carried.
        carried: kinds that go into the lines, of directions only.
        dropped: kinds left behind, of all but notes.
        others: notes of other voices, by (staff, voice).
        layouts: stacks written above the tune, by index of the bar and onset.
    """

    def __init__(
        self, part: Element, wanted: Wanted, *, divisions: int, by: Interval, keep: Keep
    ) -> None:
        self._part = part
        self._wanted = wanted
        self._keep = keep
        self.frame = FrameReader(wanted.staff, divisions, by)
        self.bars: list[RawBar] = []
        self.shapes: list[NoteShape] = []
        self._shape_reader = ShapeReader(keep_lyrics=keep.lyrics)
        self.carried: dict[str, int] = {}
        self.dropped: dict[str, int] = self.frame.dropped
        self.others: dict[tuple[str, str], int] = {}
        self.layouts: list[tuple[tuple[int, int], str]] = []
        self._heads: dict[bytes, _Head] = {}
        self._by_opening: dict[bytes, dict[bytes, NoteShape]] = {}
        self._silent: set[NoteShape] = set()
        self._marked: set[NoteShape] = set()
        self._string_words = False
        self._items: list[Note | Sign] = []
        self._at = self._end = 0
        self._sorted = True
        self._bar: FrameBar
        self._others: dict[str, Callable[[Element], None]] = {
            "attributes": self._attributes,
            "direction": self._direction,
            "backup": self._backup,
            "forward": self._forward,
            "barline": self._barline,
            "harmony": self._harmony,
            "sound": self._sound,
            "print": self._print,
            "figured-bass": lambda _: self._drop("figured bass"),
        }

    def read(self) -> PartReader:
        """Read every bar.

        Raises:
            FractionalDuration: other divisions are needed; read again with those.
            Refused: something in it cannot be; the place is named.
        """
        for measure in self._part.iterchildren("measure"):
            try:
                self._measure(measure)
            except Refused as refusal:
                refusal.place = refusal.place or f"bar {measure.get('number', '?')}"
                raise
        return self

    @property
    def of_strings(self) -> bool:
        """True when a sign of the voice is true on some strings only."""
        return self._string_words or any(
            notation.tag in _OF_STRINGS
            for shape in self.shapes
            if shape.count
            for notation in shape.notations
        )

    def _measure(self, measure: Element) -> None:
        self._bar = self.frame.start_bar(measure)
        items: list[Note | Sign] = []
        self._items = items
        self._sorted = True
        self._at = self._end = 0
        note_onset = 0
        takes_all = not self._wanted.voice
        heads, tostring = self._heads, etree.tostring
        for child in measure:
            tag = child.tag
            if tag != "note":
                other = self._others.get(tag)  # type: ignore[arg-type]  # comments are gone
                (other or self._unknown)(child)
                continue
            data = tostring(child, encoding="UTF-8", with_tail=False)
            head, _, rest = data.partition(b"</pitch>")
            pitch, shapes = heads.get(head) or self._read_head(child, head)
            shape = shapes.get(rest)
            if shape is None:
                shape = shapes[rest] = self._read_shape(child, data)
            if not shape.chord:
                note_onset = self._at
                self._at = note_onset + shape.length
            if takes_all or self._wanted.takes(shape):
                shape.count += 1
                if pitch is not None and shape.kind != "pitch":
                    pitch = None
                items.append(Note(note_onset, shape.length, shape, pitch))
            else:
                self._sorted = False
                if shape.kind == "pitch":
                    owner = (shape.staff, shape.voice)
                    self.others[owner] = self.others.get(owner, 0) + 1
        end = max(self._end, self._at)
        silenced = bool(self._silent) and any(
            isinstance(item, Note) and item.shape in self._silent for item in items
        )
        if self._marked:
            self._move_marks(items)
        if silenced:  # a grace note leaves no rest behind
            items = [item for item in items if not self._is_silent_grace(item)]
        self.bars.append(RawBar(self._bar, items, end, self._sorted, silenced))

    def _move_marks(self, items: list[Note | Sign]) -> None:
        """Ornaments keep their accidentals in another key."""
        for item in items:
            if isinstance(item, Note) and item.pitch and item.shape in self._marked:
                interval = self.frame.interval
                item.shape = with_moved_marks(item.shape, item.pitch, interval)

    def _is_silent_grace(self, item: Note | Sign) -> bool:
        return isinstance(item, Note) and item.length == 0 and item.shape in self._silent

    def _read_head(self, note: Element, head: bytes) -> _Head:
        """What is known of a note by all up to its pitch."""
        match = _PITCHED.fullmatch(head)
        if match is None:
            known: _Head = (self._irregular_pitch(note), {})
        else:
            opening, step, alter, octave = match.groups()
            pitch = self._sounding(step.decode(), (alter or b"0").decode(), int(octave))
            known = pitch, self._by_opening.setdefault(opening, {})
        self._heads[head] = known
        return known

    def _read_shape(self, note: Element, data: bytes) -> NoteShape:
        """The shape of a note; of cue and unpitched notes, which are not the tune's, a rest."""
        shape = self._shape_reader.read(note, data, self.frame.scale)
        self.shapes.append(shape)
        if self.frame.interval != (0, 0) and has_marks(shape):
            self._marked.add(shape)
        if shape.kind == "rest" or (shape.kind == "pitch" and not shape.cue):
            return shape
        rest = shape.as_rest()
        rest.chord = shape.chord
        rest.voice, rest.staff = shape.voice, shape.staff
        rest.dropped = ["cue notes" if shape.cue else "unpitched notes"]
        self.shapes.append(rest)
        self._silent.add(rest)
        return rest

    def _sounding(self, step: str, alter: str, octave: int) -> SketchPitch:
        try:
            raised = float(alter)
        except ValueError:
            raised = _HIGHEST_ALTER + 1.0
        if not abs(raised) <= _HIGHEST_ALTER:
            raise Refused(f'an alteration of "{alter}" semitones cannot be', "correct the note")
        pitch = Pitch(step, int(raised) if raised == int(raised) else raised, octave)
        if self.frame.interval != (0, 0):
            pitch = transpose(pitch, self.frame.interval)
        if not 0 <= pitch.octave < len(OCTAVE_BYTES):
            raise Refused(
                f"{pitch} lies beyond the octaves MusicXML can write", "correct the note"
            )
        raised_by = b"<alter>%b</alter>" % f"{pitch.alter:g}".encode() if pitch.alter else b""
        data = b"<pitch><step>%b</step>%b<octave>%b</octave></pitch>" % (
            pitch.step.encode(), raised_by, OCTAVE_BYTES[pitch.octave],
        )  # fmt: skip
        return SketchPitch(*pitch, midi(*pitch), data)

    def _irregular_pitch(self, note: Element) -> SketchPitch | None:
        """The pitch of a note that is not written the usual way, if it has one."""
        element = note.find("pitch")
        if element is None:
            return None
        step = (element.findtext("step") or "").strip()
        octave = (element.findtext("octave") or "").strip()
        alter = (element.findtext("alter") or "0").strip()
        if step not in SEMITONES_OF_STEP or not (octave.isdecimal() and len(octave) == 1):
            raise Refused(
                f'a note "{step}" in octave "{octave}" cannot be',
                "correct the note and export the sketch again",
            )
        return self._sounding(step, alter, int(octave))

    def _attributes(self, element: Element) -> None:
        in_force = self.frame.scale, self.frame.interval
        for directive in element.findall("directive"):
            self._items.append(_in_words(directive, self._at))
        before, after = self.frame.read_attributes(element)
        if in_force != (self.frame.scale, self.frame.interval):
            # the same bytes are another length or pitch from here on
            self._heads.clear()
            self._by_opening.clear()
        bar = self._bar
        if self._at == 0 and not any(isinstance(item, Note) for item in self._items):
            if bar.attributes[0] and before:
                before = _later_wins(bar.attributes[0] + before)
            else:
                before = bar.attributes[0] + before
            bar.attributes = (before, bar.attributes[1] + after)
            bar.metre, bar.fifths = self.frame.metre, self.frame.fifths
            bar.alterations = self.frame.alterations
            bar.key, bar.mode = self.frame.key, self.frame.mode
        elif before or after:
            piece = b"<attributes>" + before + after + b"</attributes>\n"
            alterations = self.frame.alterations if b"<key" in before else None
            self._sign("every", piece, "attributes", alterations)

    def _sign(
        self, scope: Scope, piece: bytes, kind: str, alterations: dict[str, float] | None = None
    ) -> None:
        self._items.append(Sign(self._at, scope, piece, kind, None, alterations))

    def _drop(self, kind: str) -> None:
        self.dropped[kind] = self.dropped.get(kind, 0) + 1

    def _backup(self, element: Element) -> None:
        self._end = max(self._end, self._at)
        self._at -= self._distance(element)
        self._sorted = False
        if self._at < 0:
            raise Refused("a <backup> leads before the bar", "export the sketch again")

    def _forward(self, element: Element) -> None:
        self._at += self._distance(element)
        self._sorted = False

    def _distance(self, move: Element) -> int:
        """Divisions of a ``<backup>`` or ``<forward>``; real scores have moves by nothing."""
        text = move.findtext("duration")
        if text and text.strip() == "0":
            return 0
        return scaled_duration(text, self.frame.scale)

    def _barline(self, element: Element) -> None:
        location = element.get("location", "right")
        if element.find("wavy-line") is not None:  # a trill of the sketch's, not everybody's
            element = deepcopy(element)
            for line in element.findall("wavy-line"):
                element.remove(line)
                self._drop("trill lines at barlines")
        data = serialised(element) + b"\n"
        if location == "left":
            self._bar.left += data
        elif location == "right":
            self._bar.right += data
        else:
            self._sign("every", data, "barline")

    def _direction(self, element: Element) -> None:
        staff = element.findtext("staff")
        key = (self.frame.scale, serialised(element))
        parts = _DIRECTIONS.get(key)
        if parts is None:
            parts = read_direction(element, self.frame.scale)
            _DIRECTIONS.keep(key, parts)
        mine = self._is_of_voice(staff, element.findtext("voice"))
        for shape in parts.shapes:
            if shape.scope == "line" and not (mine or self._is_lent(staff, shape.detail)):
                continue
            for kind in shape.carried:
                self.carried[kind] = self.carried.get(kind, 0) + 1
            detail = shape.detail
            self._string_words = self._string_words or bool(detail.string)
            self._items.append(Sign(self._at, shape.scope, detail.at(0), "direction", detail))
        if mine:
            for kind in parts.dropped:
                self._drop(kind)
            moment = (len(self.bars), self._at)
            self.layouts += [(moment, text) for text in parts.layouts]

    def _is_of_voice(self, staff: str | None, voice: str | None) -> bool:
        wanted = self._wanted
        if (staff or "1").strip() != wanted.staff:
            return False
        if not wanted.voice or voice is None or voice.strip() == wanted.voice:
            return True
        return voice.strip() not in self._voices

    def _is_lent(self, staff: str | None, detail: DirectionDetail) -> bool:
        """True for a dynamic or hairpin of the other staff, where this one has none."""
        if not self._wanted.signs or (staff or "1").strip() != self._wanted.signs:
            return False
        loudness = any(span[0] == "wedge" for span in detail.spans)
        return bool(detail.dynamic) or loudness

    @cached_property
    def _voices(self) -> frozenset[str]:
        """Every voice of the part that has notes."""
        return frozenset(str(name).strip() for name in _VOICES(self._part))

    def _harmony(self, element: Element) -> None:
        if not self._keep.harmony:
            self._drop("chord symbols")
            return
        self.carried["chord symbols"] = self.carried.get("chord symbols", 0) + 1
        piece = moved_harmony(element, self.frame.scale, self.frame.interval)
        self._sign("score", piece, "harmony")

    def _sound(self, element: Element) -> None:
        sound, dropped = for_strings(element, self.frame.scale)
        for kind in dropped:
            self._drop(kind)
        if sound is not None:
            self._sign(scope_of_sound(sound), serialised(sound) + b"\n", "sound")

    def _print(self, element: Element) -> None:
        breaks = {"new-page", "new-system"} & set(element.keys())
        self._drop("page and system breaks" if breaks else "page settings")

    def _unknown(self, element: Element) -> None:
        if not isinstance(element.tag, str):
            return
        scope: Scope = "score" if element.tag in _FOR_SCORE else "line"
        self._sign(scope, serialised(element) + b"\n", element.tag)


def _later_wins(pieces: bytes) -> bytes:
    """Keys, metres and notes on them of several ``<attributes>`` as those of one."""
    joined = etree.fromstring(b"<attributes>" + pieces + b"</attributes>")
    last = {str(element.tag): element for element in joined}
    order = ("footnote", "level", "key", "time")
    return b"".join(serialised(last[tag]) for tag in order if tag in last)


def _in_words(directive: Element, at: int) -> Sign:
    """A ``<directive>``, the older way to write a tempo, as words above the top part."""
    direction = etree.Element("direction", placement="above", directive="yes")
    kind = etree.SubElement(direction, "direction-type")
    etree.SubElement(kind, "words").text = (directive.text or "").strip()
    return Sign(at, "score", serialised(direction) + b"\n", "direction")
