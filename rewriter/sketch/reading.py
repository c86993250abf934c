"""One pass over a part of the sketch: its bars as a frame, one of its voices as a voice.

This pass is the tool's hot path: a note of the sketch is what its bytes say (see
``scores.events``), looked up twice, as a form and as a pitch.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.note_reading import serialised
from rewriter.musicxml.remembering import Remembered
from rewriter.problems import Refused
from rewriter.scores.children import element_of
from rewriter.scores.movements import bar_text
from rewriter.sketch.directions import DirectionParts, in_words, read_direction
from rewriter.sketch.faults import Mended
from rewriter.sketch.frame_reading import UNISON, FrameReader, later_wins
from rewriter.sketch.mending import mend_barline, mend_sound, mended_opening
from rewriter.sketch.model import DirectionDetail, Note, Scope, Sign, SketchPitch
from rewriter.sketch.ornaments import has_marks, with_moved_marks
from rewriter.sketch.pitches import sounding_pitch
from rewriter.sketch.requests import Keep, RawBar, Wanted
from rewriter.sketch.shaping import ShapeReader
from rewriter.sketch.sounds import for_strings, scope_of_sound
from rewriter.sketch.tempo_marks import ALONE
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from collections.abc import Iterable
    from fractions import Fraction

    from rewriter.musicxml.note_shapes import NoteShape
    from rewriter.scores.events import BarEvents, Event, WrittenPitch
    from rewriter.scores.notes import NoteForm
    from rewriter.sketch.faults import Fault
    from rewriter.sketch.frame import FrameBar
    from rewriter.sketch.music import PartMusic
    from rewriter.theory.fifths import Interval

_FOR_SCORE: Final = frozenset(("link", "bookmark"))
_DIRECTIONS: Final[Remembered[DirectionParts]] = Remembered()
"""Directions by scale, bytes and what is around them, from one score to the next: most are the
same."""

_OF_STRINGS: Final = frozenset(("harmonic", "open-string"))
_OTHERS: Final = {
    "attributes": "_attributes", "direction": "_direction", "barline": "_barline",
    "harmony": "_harmony", "sound": "_sound", "print": "_print",
    "figured-bass": "_figured_bass",
}  # fmt: skip
"""What takes in each kind of element that is no note. By name: methods bound in a table of the
reader would lead back to it, and it would not be freed at once."""

_IN_C: Final = b"<attributes><key><fifths>0</fifths></key></attributes>"


class PartReader:
    """Reads one voice of one part.

    Attributes:
        bars: what was read.
        shapes: every note form met, for counting what was carried.
        carried: kinds that go into the lines, of directions only.
        shared: kinds that all parts or the top part have, which a score has from its tune.
        faults: what had to be mended.
        dropped: kinds left behind, of all but notes.
        others: notes of other voices, by (staff, voice).
        layouts: stacks written above the tune, by moment.
        marks: words of the part that are tempo by what stands around them.
        has_techniques: True where words ask for a way of playing.
    """

    def __init__(self, music: PartMusic, wanted: Wanted, *, by: Interval, keep: Keep) -> None:
        self._music = music
        self._wanted = wanted
        self._keep = keep
        self._by = by
        self.frame = FrameReader(wanted.staff, by)
        self.bars: list[RawBar] = []
        self.shapes: list[NoteShape] = []
        self._shape_reader = ShapeReader(keep_lyrics=keep.lyrics)
        self.carried: dict[str, int] = {}
        self.shared: dict[str, int] = {}
        self.faults: list[Fault] = []
        self.dropped: dict[str, int] = self.frame.dropped
        self.others: dict[tuple[str, str], int] = {}
        self.layouts: list[tuple[Moment, str]] = []
        self.marks = music.marks
        self._of_form: dict[NoteForm, NoteShape] = {}
        self._pitches: dict[WrittenPitch, SketchPitch] = {}
        self._foreign: set[NoteShape] = set()  # of other voices
        self._silent: set[NoteShape] = set()
        self._marked: set[NoteShape] = set()
        self._mended_notes: dict[NoteShape, tuple[str, ...]] = {}
        self._string_words = self._loud = self.has_techniques = False
        self._items: list[Note | Sign] = []
        self._at = self._place = 0
        self._said_scale: Fraction | None = None
        self._scale: Fraction | int
        self._bar: FrameBar

    def read(self) -> PartReader:
        """Read every bar.

        Raises:
            Refused: something in it cannot be; the place is named.
        """
        part = self._music.part
        in_c = self._by != UNISON and not part.having(b"<key")
        for index, (data, bar) in enumerate(zip(part.bars, self._music.bars, strict=True)):
            try:
                self._measure(data, bar, in_c=in_c and index == 0)
            except Refused as refusal:
                refusal.place = refusal.place or bar_text(part, index)
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

    def _measure(self, data: bytes, bar: BarEvents, *, in_c: bool) -> None:
        self._bar = self.frame.start_bar(data)
        self._count_in(bar.scale)
        items: list[Note | Sign] = []
        self._items = items
        self._loud = False
        self._at = 0
        if in_c:  # a part without any key is in C as programs read it; elsewhere it must say so
            self._attributes(_IN_C)
        takes_all = not self._wanted.voice
        in_order, rests, chords, count = True, False, False, 0
        of_form, pitches, foreign = self._of_form, self._pitches, self._foreign
        for event in bar.events:
            onset, length, _, _, _, form, pitch = event
            if form is None:
                in_order = self._other(event, bar) and in_order
                continue
            shape = of_form.get(form)
            if shape is None:
                shape = of_form[form] = self._shape_of(event, form)
            if takes_all or shape not in foreign:
                shape.count += 1
                count += 1
                chords = chords or shape.chord
                sounding = None
                if pitch is not None and shape.kind == "pitch":
                    sounding = pitches.get(pitch) or self._pitch(pitch)
                else:
                    rests = True
                items.append(Note(onset, length, shape, sounding))
            else:
                in_order = False
                if shape.kind == "pitch":
                    owner = (shape.staff, shape.voice)
                    self.others[owner] = self.others.get(owner, 0) + 1
        signs = len(items) > count
        silenced = bool(self._silent) and any(
            isinstance(item, Note) and item.shape in self._silent for item in items
        )
        if self._marked or self._mended_notes:
            self._settle(items)
        if silenced:  # a grace note leaves no rest behind
            items = [item for item in items if not self._is_silent_grace(item)]
        self.bars.append(
            RawBar(
                self._bar, items, bar.end, in_order, silenced, self._loud, rests, chords, signs
            )
        )

    def _other(self, event: Event, bar: BarEvents) -> bool:
        """Take in what is no note; False where what follows may not stand in order."""
        self._at, self._place = event.onset, event.place
        if event.place in bar.scales:
            self._count_in(bar.scales[event.place])
        if event.tag in {"backup", "forward"}:
            return False
        getattr(self, _OTHERS.get(event.tag, "_unknown"))(event.data)
        return True

    def _count_in(self, scale: Fraction) -> None:
        """Take in the scale, a plain number where it is one: directions are looked up by it."""
        if scale is not self._said_scale:
            self._said_scale = scale
            self._scale = scale.numerator if scale.denominator == 1 else scale

    def _settle(self, items: list[Note | Sign]) -> None:
        """Ornaments keep their accidentals in another key; what was mended is said."""
        for item in items:
            if not isinstance(item, Note):
                continue
            for text in self._mended_notes.get(item.shape, ()):
                self.faults.append(Mended(text, len(self.bars), item.onset))
            if item.pitch and item.shape in self._marked:
                interval = self.frame.interval
                item.shape = with_moved_marks(item.shape, item.pitch, interval)

    def _is_silent_grace(self, item: Note | Sign) -> bool:
        return isinstance(item, Note) and item.length == 0 and item.shape in self._silent

    def _shape_of(self, event: Event, form: NoteForm) -> NoteShape:
        """The shape of a note; of cue and unpitched notes, which are not the tune's, a rest."""
        shape = self._settled_shape(event, form)
        if not self._wanted.takes(shape):
            self._foreign.add(shape)
        return shape

    def _settled_shape(self, event: Event, form: NoteForm) -> NoteShape:
        shape = self._shape_reader.read(form, event.length)
        self.shapes.append(shape)
        says_more = shape.kind != "rest" and form.opening != b"<note>"
        if says_more and (said := mended_opening(form.opening)[1]):
            self._mended_notes[shape] = said
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

    def _pitch(self, written: WrittenPitch) -> SketchPitch:
        """A written pitch made sounding, and moved to the key asked for."""
        pitch = self._pitches[written] = sounding_pitch(written, self.frame.interval)
        return pitch

    def _attributes(self, data: bytes) -> None:
        element = element_of(data)
        interval = self.frame.interval
        for directive in element.findall("directive"):
            self._items.append(in_words(directive, self._at))
        before, after = self.frame.read_attributes(element)
        if interval != self.frame.interval:
            # The same note is another pitch from here on, and so are marks on it.
            self._pitches.clear()
            self._of_form.clear()
        bar = self._bar
        if self._at == 0 and not any(isinstance(item, Note) for item in self._items):
            if bar.attributes[0] and before:
                before = later_wins(bar.attributes[0] + before)
            else:
                before = bar.attributes[0] + before
            bar.attributes = (before, bar.attributes[1] + after)
            bar.metre, bar.fifths = self.frame.metre, self.frame.fifths
            bar.alterations = self.frame.alterations
            bar.key, bar.mode = self.frame.key, self.frame.mode
            bar.states_key = bar.states_key or self.frame.states_key
        elif before or after:
            piece = b"<attributes>" + before + after + b"</attributes>\n"
            alterations = self.frame.alterations if self.frame.states_key else None
            self._sign("every", piece, "attributes", alterations)

    def _sign(
        self, scope: Scope, piece: bytes, kind: str, alterations: dict[str, float] | None = None
    ) -> None:
        self._items.append(Sign(self._at, scope, piece, kind, None, alterations))

    def _drop(self, kind: str) -> None:
        self.dropped[kind] = self.dropped.get(kind, 0) + 1

    def _barline(self, data: bytes) -> None:
        element = element_of(data)
        location = element.get("location", "right")
        for line in element.findall("wavy-line"):  # a trill of the sketch's, not everybody's
            element.remove(line)
            self._drop("trill lines at barlines")
        self._mended(mend_barline(element))
        for kind, some in (("repeats", "repeat"), ("endings", "ending[@type='start']")):
            if count := len(element.findall(some)):
                self.shared[kind] = self.shared.get(kind, 0) + count
        data = serialised(element) + b"\n"
        if location == "left":
            self._bar.left += data
        elif location == "right":
            self._bar.right += data
        else:
            self._sign("every", data, "barline")

    def _direction(self, data: bytes) -> None:
        around = self.marks.around.get((len(self.bars), self._place), ALONE)
        key = (self._scale, data, around)
        in_brackets = b"[" in data  # whether they are a layout depends on the ensemble
        parts = None if in_brackets else _DIRECTIONS.get(key)
        if parts is None:
            scale, is_layout = float(self._scale), self._keep.is_layout
            parts = read_direction(element_of(data), scale, around, is_layout)
            if not in_brackets:
                _DIRECTIONS.keep(key, parts)
        mine = self._is_of_voice(parts.staff, parts.voice)
        taken = [
            shape
            for shape in parts.shapes
            if shape.scope != "line" or mine or self._is_lent(parts.staff, shape.detail)
        ]
        for shape in taken:
            counts = self.carried if shape.scope == "line" else self.shared
            for kind in shape.carried:
                counts[kind] = counts.get(kind, 0) + 1
            detail = shape.detail
            self._string_words = self._string_words or bool(detail.string)
            self._loud = self._loud or bool(detail.dynamic or detail.spans)
            self.has_techniques = self.has_techniques or bool(detail.techniques)
            self._items.append(Sign(self._at, shape.scope, detail.at(0), "direction", detail))
        if mine or taken:
            self._mended(parts.mended)
        if mine:
            for kind in parts.dropped:
                self._drop(kind)
            moment = Moment(len(self.bars), self._at)
            self.layouts += [(moment, text) for text in parts.layouts]

    def _is_of_voice(self, staff: str, voice: str) -> bool:
        wanted = self._wanted
        if staff != wanted.staff:
            return False
        if not wanted.voice or voice in {"", wanted.voice}:
            return True
        return voice not in self._voices

    def _is_lent(self, staff: str, detail: DirectionDetail) -> bool:
        """True for a dynamic or hairpin of the other staff, where this one has none."""
        if not self._wanted.signs or staff != self._wanted.signs:
            return False
        loudness = any(span[0] == "wedge" for span in detail.spans)
        return bool(detail.dynamic) or loudness

    @cached_property
    def _voices(self) -> frozenset[str]:
        """Every voice of the part that has notes."""
        return frozenset(form.voice for form in self._music.forms if "voice" in form.tags)

    def _harmony(self, data: bytes) -> None:
        if not self._keep.harmony:
            self._drop("chord symbols")
            return
        self.carried["chord symbols"] = self.carried.get("chord symbols", 0) + 1
        from rewriter.sketch.harmonies import moved_harmony

        piece = moved_harmony(element_of(data), float(self._scale), self.frame.interval)
        self._sign("score", piece, "harmony")

    def _mended(self, texts: Iterable[str]) -> None:
        self.faults += [Mended(text, len(self.bars), self._at) for text in texts]

    def _sound(self, data: bytes) -> None:
        element = element_of(data)
        self._mended(mend_sound(element))
        sound, dropped = for_strings(element, float(self._scale))
        for kind in dropped:
            self._drop(kind)
        if sound is not None and (sound.attrib or len(sound)):
            self._sign(scope_of_sound(sound), serialised(sound) + b"\n", "sound")

    def _print(self, data: bytes) -> None:
        breaks = b" new-page=" in data or b" new-system=" in data
        self._drop("page and system breaks" if breaks else "page settings")

    def _figured_bass(self, data: bytes) -> None:
        del data
        self._drop("figured bass")

    def _unknown(self, data: bytes) -> None:
        element = element_of(data)
        scope: Scope = "score" if element.tag in _FOR_SCORE else "line"
        self._sign(scope, serialised(element) + b"\n", str(element.tag))
