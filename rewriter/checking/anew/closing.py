"""What leads over the borders of a passage that is to change, closed on either side.

A slur ends at the last note before it and begins again at the first behind it; a hairpin or an
8va line ends and begins again at the border itself; a tie that would lead into other music
goes, and beams of a group of which some notes lie outside. The passage's own directions and
clefs go too.
"""

from __future__ import annotations

import re
from collections import defaultdict
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from rewriter.checking.anew.certain import NotCertain
from rewriter.checking.anew.own_signs import OwnSigns
from rewriter.editing.bar_marking import bar_marked
from rewriter.editing.cutting import attribute_in
from rewriter.editing.edits import InBar, bar_children
from rewriter.editing.elements import found_in, without
from rewriter.editing.music import Sign
from rewriter.editing.note_marks import with_notation, without_notations, without_tie
from rewriter.musicxml.escaping import quoted, word
from rewriter.scores.directions import read_direction_form

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from rewriter.checking.anew.regions import Region
    from rewriter.checking.finished import Finished
    from rewriter.editing.edits import Edit
    from rewriter.scores.events import Event
    from rewriter.scores.spans import End, SignSpan
    from rewriter.scores.voices import VoiceNote

    Change = Callable[[bytes], bytes]

_BEAM: Final = re.compile(rb"<beam[^>]*>\s*([a-z]+)")
_ON_NOTES: Final = frozenset(("slur", "tuplet", "glissando", "slide", "wavy-line"))


def closed(score: Finished, one: Region) -> list[Edit]:
    """Edits that close what leads over the borders of a region, and take its signs out.

    Args:
        score: not changed.
        one: the region.

    Raises:
        NotCertain: a tuplet leads over a border.
    """
    closing = _Closing(score, one)
    for span in score.spans(one.part).paired:
        closing.close(span)
    closing.close_ties()
    closing.take_beams_off()
    closing.take_signs_out()
    return closing.edits()


class _Closing:
    """What becomes of the children of bars."""

    def __init__(self, score: Finished, one: Region) -> None:
        self._score = score
        self._one = one
        self._changed: dict[int, dict[int, bytes]] = defaultdict(dict)
        self._signs: dict[int, list[Sign]] = defaultdict(list)
        self._kept: set[tuple[int, str, str]] = set()  # ends in the region that stay

    def edits(self) -> list[Edit]:
        """All that has been gathered."""
        part = self._one.part
        found: list[Edit] = []
        for bar in sorted({*self._changed, *self._signs}):
            where = InBar(part, bar)
            found += bar_marked(self._score.score, where, self._signs[bar], self._changed[bar])
        return found

    def _change(self, bar: int, event: Event, change: Change) -> None:
        own = self._changed[bar].get(event.place)
        if own is None:
            own = bar_children(self._score.score, InBar(self._one.part, bar))[event.place]
        self._changed[bar][event.place] = change(own) if own else own

    def close(self, span: SignSpan) -> None:
        """One that leads over a border gets whole ends outside."""
        start, stop = span
        if start.kind in _ON_NOTES:
            before, behind = start.time < self._one.start, stop.time >= self._one.stop
            touches = stop.time >= self._one.start and start.time < self._one.stop
            if touches and (before or behind):
                self._close_on_notes(span, before=before, behind=behind)
            return
        before, behind = start.time < self._one.start, stop.time > self._one.stop
        if before and stop.time == self._one.start:
            self._kept.add((id(stop.event), stop.kind, stop.number))
        if stop.time <= self._one.start or start.time >= self._one.stop:
            return
        if before:
            self._put(self._one.start, stop, earlier=True)
        if behind:
            self._put(self._one.stop, start, earlier=False)
        elif stop.time == self._one.stop:
            self._take_end_out(stop)

    def _close_on_notes(self, span: SignSpan, *, before: bool, behind: bool) -> None:
        start, stop = span
        if start.kind == "tuplet":
            raise NotCertain("a tuplet of other music leads over its border")
        last = self._last_before(start.voice) if before else None
        first = self._first_behind(stop.voice) if behind else None
        is_slur = start.kind == "slur"
        if before:
            if is_slur and last is not None and last.time > start.time:
                self._change(last.bar, last.event, lambda own: with_notation(own, _slur(stop)))
            else:
                self._take_off(start)
        if behind:
            if is_slur and first is not None and first.time < stop.time:
                self._change(
                    first.bar, first.event, lambda own: with_notation(own, _slur(start))
                )
            else:
                self._take_off(stop)

    def _take_off(self, end: End) -> None:
        """An end of a sign of notes goes."""

        def is_it(sign: bytes) -> bool:
            number = attribute_in(sign, "number") or "1"
            return attribute_in(sign, "type") == end.type and number == end.number

        self._change(end.bar, end.event, lambda own: without_notations(own, end.kind, is_it))

    def _last_before(self, voice: str) -> VoiceNote | None:
        found = [note for note in self._sounding(voice) if note.time < self._one.start]
        return found[-1] if found else None

    def _first_behind(self, voice: str) -> VoiceNote | None:
        return next(
            (note for note in self._sounding(voice) if note.time >= self._one.stop), None
        )

    def _sounding(self, voice: str) -> Iterator[VoiceNote]:
        """The first notes of a voice's chords."""
        for own in self._score.voices(self._one.part):
            if own.name == voice:
                for chord in own.chords:
                    if chord.notes[0].sounding is not None:
                        yield chord.notes[0]

    def _put(self, time: int, end: End, *, earlier: bool) -> None:
        """The end of a sign put to a moment; where two bars meet, to the earlier or later."""
        timeline = self._score.reading.timeline
        moment = timeline.ending(time) if earlier else timeline.moment(time)
        onset = Fraction(moment.onset, self._score.reading.divisions)
        for sign in read_direction_form(end.event.data).signs:
            if (sign.tag, sign.type, sign.number) == (end.kind, end.type, end.number):
                data = b"<direction><direction-type>%b</direction-type></direction>" % sign.data
                self._signs[moment.bar].append(Sign(onset, data))
                return

    def _take_end_out(self, end: End) -> None:
        def is_it(kind: bytes) -> bool:
            return any(
                attribute_in(sign, "type") == end.type
                and (attribute_in(sign, "number") or "1") == end.number
                for sign in found_in(kind, end.kind)
            )

        self._change(
            end.bar, end.event, lambda own: without(own, "direction-type", wanted=is_it)
        )

    def close_ties(self) -> None:
        """Ties that lead over a border go, where they begin or end outside."""
        start, stop = self._one.start, self._one.stop
        for run in self._score.joined(self._one.part):
            for note, then in zip(run.notes, run.notes[1:], strict=False):
                if note.time < start <= then.time:
                    self._change(note.bar, note.event, lambda own: without_tie(own, "start"))
                if note.time < stop <= then.time:
                    self._change(then.bar, then.event, lambda own: without_tie(own, "stop"))

    def take_beams_off(self) -> None:
        """Notes outside whose group leads over a border stand alone."""
        if not self._score.score.parts[self._one.part].having(b"<beam"):
            return
        for voice in self._score.voices(self._one.part):
            for group in _beamed(chord.notes[0] for chord in voice.chords):
                inside = [self._one.start <= note.time < self._one.stop for note in group]
                if any(inside):
                    for note, within in zip(group, inside, strict=True):
                        if not within:
                            self._change(note.bar, note.event, _without_beams)

    def take_signs_out(self) -> None:
        """The region's own directions go, and its clefs but one where it begins."""
        score, one = self._score, self._one
        signs = OwnSigns(score, one.part)
        timeline = score.reading.timeline
        bars = score.reading.bars(one.part)
        first, last = timeline.moment(one.start).bar, timeline.bar_ending(one.stop)
        for bar in range(first, min(last + 1, len(bars))):
            for event in bars[bar].events:
                time = timeline.starts[bar] + event.onset
                if event.tag == "direction":
                    offset = read_direction_form(event.data).offset
                    time += round(offset * bars[bar].scale_at(event.place))
                    if one.start <= time < one.stop:
                        self._take_direction_out(signs, bar, event)
                elif (
                    one.source is not None
                    and b"<clef" in event.data
                    and one.start < time < one.stop
                ):
                    self._change(bar, event, lambda own: without(own, "clef"))

    def _take_direction_out(self, signs: OwnSigns, bar: int, event: Event) -> None:
        def kept(kind: bytes) -> bool:
            form = read_direction_form(event.data)
            return any(
                (id(event), sign.tag, sign.number) in self._kept and found_in(kind, sign.tag)
                for sign in form.signs
            )

        self._change(bar, event, lambda own: signs.without_own(bar, event, own, kept))


def _beamed(notes: Iterable[VoiceNote]) -> Iterator[list[VoiceNote]]:
    """Notes under one beam, over barlines too."""
    group: list[VoiceNote] = []
    for note in notes:
        if note.form.grace:
            continue
        beams = _BEAM.findall(note.event.data)
        if b"begin" in beams[:1] or not (beams or note.sounding is None):
            yield group
            group = []
        if beams:
            group.append(note)
    yield group


def _without_beams(note: bytes) -> bytes:
    return without(note, "beam")


def _slur(end: End) -> bytes:
    return b'<slur type="%b" number="%b"/>' % (word(end.side), quoted(end.number))
