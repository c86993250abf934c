"""What a line of a finished score is told besides its notes, gathered once a part."""

from __future__ import annotations

from collections import defaultdict
from functools import cached_property
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.hearing.disagreements import Said
from rewriter.scores.children import element_of
from rewriter.scores.directions import read_direction_form
from rewriter.scores.spans import spans_of
from rewriter.theory.dynamics import lasting
from rewriter.theory.expression_words import expression_in
from rewriter.theory.techniques import ORDINARY, after, techniques_in

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from rewriter.hearing.disagreements import MarkKind
    from rewriter.hearing.lines import Heard
    from rewriter.musicxml.note_shapes import Notation
    from rewriter.scores.events import BarEvents, Event
    from rewriter.scores.spans import SignSpan
    from rewriter.scores.voices import Voice
    from rewriter.theory.techniques import Ways

_BOWINGS: Final = frozenset(("up-bow", "down-bow"))
_OWN: Final = frozenset(("fingering", "string", "fret", "pluck", "thumb-position"))
"""Signs that are one section's own business: nobody expects them to agree."""
_FAMILIES: Final[dict[str, MarkKind]] = {
    "articulations": "articulation", "ornaments": "ornament", "technical": "technique",
}  # fmt: skip


class Sign(NamedTuple):
    """A mark at a moment.

    Attributes:
        kind: of the marks it belongs to.
        what: as it is called: ``staccato``, ``sfz``.
    """

    kind: MarkKind
    what: str


class InForce(NamedTuple):
    """What is told and holds until something else of its kind is.

    Attributes:
        kind: ``dynamic``, or a family of techniques.
        time: divisions from the start of the piece.
        staff: counted from the top, as text; empty for all.
        value: compared; empty for nothing that is known.
        words: as printed.
    """

    kind: str
    time: int
    staff: str
    value: str
    words: str


class _Text(NamedTuple):
    """What a direction, or a note's own dynamic, says."""

    time: int
    staff: str
    tag: str
    text: str


class PartMarks:
    """The marks of a part."""

    def __init__(self, heard: Heard, part: int) -> None:
        """Gather nothing yet.

        Args:
            heard: the score.
            part: index in score order.
        """
        self._heard = heard
        self._part = part
        self._on_notes: dict[int, dict[int, frozenset[Sign]]] = {}
        self._said: dict[tuple[MarkKind, int], list[Said]] = {}
        self._told: dict[tuple[str, str], list[InForce]] = {}

    def at_notes(self, voice: int) -> dict[int, frozenset[Sign]]:
        """Time → articulations, ornaments, bowings and the like of what begins there.

        Args:
            voice: index among the voices of the part.
        """
        if voice not in self._on_notes:
            found: dict[int, frozenset[Sign]] = defaultdict(frozenset)
            for note in self._heard.voices[self._part][voice].notes:
                if note.form.notations and not note.form.grace:
                    found[note.time] |= {*_signs(note.form.notations)}
            self._on_notes[voice] = found
        return self._on_notes[voice]

    def slurs(self, voice: int) -> list[Said]:
        """The slurs of a voice, in the order in which they begin."""
        return self._once("slur", voice, self._slurs)

    def hairpins(self, voice: int) -> list[Said]:
        """The hairpins for a voice likewise: ``crescendo``, ``diminuendo``."""
        return self._once("hairpin", voice, self._hairpins)

    def beside(self, voice: int, kind: MarkKind) -> list[Said]:
        """Of kind ``dynamic`` accents (sf) a voice is told, of ``words`` its expressions."""
        read = self._accents if kind == "dynamic" else self._expressions
        return self._once(kind, voice, read)

    def told(self, voice: int, kind: str) -> list[InForce]:
        """What a voice is told of a kind that holds, in the order of time."""
        staff = self._voice(voice).staff
        if (kind, staff) not in self._told:
            chosen = (one for one in self._holding if one.kind == kind)
            self._told[kind, staff] = [one for one in chosen if one.staff in {"", staff}]
        return self._told[kind, staff]

    def _once(
        self, kind: MarkKind, voice: int, read: Callable[[Voice], Iterator[Said]]
    ) -> list[Said]:
        if (kind, voice) not in self._said:
            # Some programs print a slur for each note of a chord.
            said = dict.fromkeys(read(self._voice(voice)))
            self._said[kind, voice] = sorted(said, key=lambda one: one.time)
        return self._said[kind, voice]

    def _slurs(self, voice: Voice) -> Iterator[Said]:
        names = [one.name for one in self._heard.voices[self._part]]
        staves = {voice.staff} if names.count(voice.name) > 1 else None
        for start, stop in self._spans:
            own = start.voice == voice.name and (staves is None or start.staff in staves)
            if start.kind == "slur" and own:
                yield Said("slur", start.time, stop.time)

    def _hairpins(self, voice: Voice) -> Iterator[Said]:
        for start, stop in self._spans:
            if start.kind == "wedge" and start.staff in {"", voice.staff}:
                yield Said(start.type, start.time, stop.time)

    def _accents(self, voice: Voice) -> Iterator[Said]:
        for time, staff, tag, text in self._texts:
            if tag == "dynamics" and staff in {"", voice.staff} and text and not lasting(text):
                yield Said(text, time, time)

    def _expressions(self, voice: Voice) -> Iterator[Said]:
        for time, staff, tag, text in self._texts:
            if tag == "words" and staff in {"", voice.staff}:
                words = expression_in(text)
                if words:
                    yield Said(words, time, time)

    def _voice(self, voice: int) -> Voice:
        return self._heard.voices[self._part][voice]

    @cached_property
    def _spans(self) -> list[SignSpan]:
        return spans_of(self._heard.reading, self._part).paired

    @cached_property
    def _holding(self) -> list[InForce]:
        found = []
        ways: dict[str, Ways] = defaultdict(dict)
        for time, staff, tag, text in sorted(self._texts, key=lambda one: one.time):
            if tag == "dynamics" and (level := lasting(text)):
                found.append(InForce("dynamic", time, staff, level, text))
            for technique in techniques_in(text) if tag == "words" else ():
                ways[staff] = now = after(ways[staff], technique)
                for family, ordinary in ORDINARY.items():
                    way = now.get(family)
                    value, words = (way.value, way.words) if way else (ordinary, ordinary)
                    found.append(InForce(family, time, staff, value, words))
        return found

    @cached_property
    def _texts(self) -> list[_Text]:
        """Dynamics and words that are told in the part, in document order."""
        reading = self._heard.reading
        return [
            text
            for index, bar in enumerate(reading.bars(self._part))
            for event in bar.events
            for text in _texts_of(event, reading.timeline.starts[index], bar)
        ]


def _texts_of(event: Event, start: int, bar: BarEvents) -> Iterator[_Text]:
    time = start + event.onset
    if event.form is not None:
        for sign in event.form.notations:
            if sign.tag == "dynamics":
                for text in _marks(sign):
                    yield _Text(time, event.form.staff, "dynamics", text)
    elif event.tag == "direction":
        form = read_direction_form(event.data)
        time += round(form.offset * bar.scale_at(event.place))
        for told in form.signs:
            if told.tag in {"dynamics", "words"}:
                yield _Text(time, form.staff, told.tag, told.text)


def _signs(notations: tuple[Notation, ...]) -> Iterator[Sign]:
    for sign in notations:
        if sign.family and sign.tag not in _OWN and sign.type not in {"stop", "continue"}:
            kind: MarkKind = "bowing" if sign.tag in _BOWINGS else _FAMILIES[sign.family]
            yield Sign(kind, sign.tag)


def _marks(dynamics: Notation) -> Iterator[str]:
    for mark in element_of(dynamics.data):
        if isinstance(mark.tag, str):
            yield (mark.text or "").strip() if mark.tag == "other-dynamics" else mark.tag
