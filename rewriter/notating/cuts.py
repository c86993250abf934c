"""What is cut where a line stops or starts, made whole again.

A player who takes over in the middle of a slur gets a slur of his own from his first note; one
who stops in the middle of a hairpin gets its end. What cannot be shortened (a glissando, a
tremolo between two notes) goes when one of its notes goes. Whoever enters is told the dynamic
and the expression in force.
"""

from __future__ import annotations

from itertools import pairwise
from operator import itemgetter
from typing import TYPE_CHECKING, Final

import msgspec

from rewriter.musicxml.note_shapes import Notation
from rewriter.notating.entries import said_at, said_on_joining
from rewriter.notating.spans import Span, spans_of
from rewriter.notating.words import (
    DYNAMICS,
    line_end,
    line_start,
    words_direction,
)
from rewriter.sketch.beaming import beamed_over
from rewriter.sketch.dynamic_marks import said_again
from rewriter.sketch.listening import notes_in
from rewriter.sketch.model import LineEnd, Note

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

    from rewriter.placing.strands import Run
    from rewriter.sketch.listening import Where
    from rewriter.sketch.model import DirectionDetail, Sign, Voice

Place = tuple[int, int, int]
"""A note of some voice: the voice's ``id``, index of the bar, place among its notes."""

Said = tuple[bytes, LineEnd | None]
"""A direction the tool writes; of a hairpin or line, which end it is."""

_TEMPO: Final = (b"<words", b"<metronome", b" tempo=")
"""What ends an expression, of signs for the whole score."""

_BELOW: Final = b'placement="below"'

_NOT_SHORTENED: Final = frozenset(("glissando", "slide", "tremolo"))


class Repairs:
    """What changes in a strand because of its cuts.

    Attributes:
        notations: by note, how its notations change: (left out, put on).
        ties: by note, the ends of its ties that are cut.
        before: by note, signs that stand before it.
        after: by note, signs that stand behind it.
        ahead: by ``id`` of a sign before the first note of a run, ends of lines it loses,
            (tag, type).
        behind: likewise of a sign behind the last note of a run.
        unsaid: by note, signs that are not true there: notations by tag, words.
        reminders: by note, which of its pitches print a courtesy accidental: letter and octave
            in the voice.
        beams: of groups that go over a barline, (voice's ``id``, bar it comes into) where
            they are played on both sides of it.
        beams_cut: bars in which such a group is cut at a barline.
    """

    def __init__(self) -> None:
        self.notations: dict[Place, tuple[set[tuple[str, str, str]], list[Notation]]] = {}
        self.ties: dict[Place, set[str]] = {}
        self.before: dict[Place, list[Said]] = {}
        self.after: dict[Place, list[Said]] = {}
        self.ahead: dict[int, set[tuple[str, str]]] = {}
        self.behind: dict[int, set[tuple[str, str]]] = {}
        self._bars_of_lines: set[int] = set()
        self.unsaid: dict[Place, set[str]] = {}
        self.reminders: dict[Place, set[tuple[str, int]]] = {}
        self.beams: set[tuple[int, int]] = set()
        self.beams_cut: set[int] = set()

    def bars(self) -> set[int]:
        """Bars that are not as the voice has them."""
        places: Iterable[Place] = (
            *self.notations, *self.ties, *self.before, *self.after, *self.unsaid,
            *self.reminders,
        )  # fmt: skip
        return {bar for _, bar, _ in places} | self._bars_of_lines | self.beams_cut

    def say_first(self, words: Mapping[Place, Iterable[str]]) -> None:
        """Put words before notes, ahead of all else that is said there."""
        for place, said in words.items():
            first: list[Said] = [(words_direction(text), None) for text in said]
            self.before.setdefault(place, [])[:0] = first

    def tell(self, run: Run, where: Where, said: Sequence[bytes]) -> None:
        """Put directions before a note of a run, ahead of all else that is said there."""
        if said:
            first: list[Said] = [(each, None) for each in said]
            self.before.setdefault((id(run.voice), *where), [])[:0] = first

    def lose(
        self, where: dict[int, set[tuple[str, str]]], sign: int, span: Span, ends: str
    ) -> None:
        """Take one end of a line off a sign that is seen from before or from behind it."""
        where.setdefault(sign, set()).add((span.tag, ends))
        self._bars_of_lines.add(span.begin[0] if ends == "start" else span.end[0])

    def leave_out(self, where: Place, span: Span, ends: str) -> None:
        """Take one end of a notation off a note."""
        out, _ = self.notations.setdefault(where, (set(), []))
        out.add((span.tag, span.number, ends))

    def put_on(self, where: Place, span: Span, ends: str) -> None:
        """Put one end of a notation on a note."""
        data = span.begin_data if ends == "start" else span.end_data
        _, new = self.notations.setdefault(where, (set(), []))
        new.append(Notation(span.family, span.tag, ends, span.number, data))


class VoiceIndex(msgspec.Struct, frozen=True):
    """A voice looked through for cutting: notes, spans by bar, dynamics and expression.

    Attributes:
        notes: by bar, its notes.
        spans: by bar, the spans that reach into it.
        dynamics: (note it is in force from, ``<dynamics>``), in order; accents are none.
        expressions: (note it stands before, words as they are said again, on the side where
            the sketch has them), in order; nothing where they end.
        hairpins: (note its end stands before, 1 for louder and -1 for softer).
        beamed: bars into which a beam comes from the bar before.
    """

    notes: list[list[Note]]
    spans: dict[int, list[Span]]
    dynamics: list[tuple[Where, bytes]]
    expressions: list[tuple[Where, bytes]]
    hairpins: list[tuple[Where, int]]
    beamed: list[int]


def index_voice(voice: Voice, double_bars: Collection[int] = ()) -> VoiceIndex:
    """Look through a voice once for all its cuts.

    Args:
        voice: any.
        double_bars: indexes of the bars that begin behind one.
    """
    notes = [notes_in(voice, bar) for bar in range(len(voice.bars))]
    spans: dict[int, list[Span]] = {}
    hairpins: list[tuple[Where, int]] = []
    for span in spans_of(voice):
        if span.tag == "wedge":
            hairpins.append((span.end, 1 if b"crescendo" in span.begin_data else -1))
        for bar in range(span.begin[0], min(span.end[0], len(notes) - 1) + 1):
            spans.setdefault(bar, []).append(span)
    dynamics, expressions = _marks(voice, notes, double_bars)
    beamed = [at for at, (one, two) in enumerate(pairwise(notes), 1) if beamed_over(one, two)]
    return VoiceIndex(notes, spans, dynamics, expressions, hairpins, beamed)


def _marks(
    voice: Voice, notes: Sequence[Sequence[Note]], double_bars: Collection[int]
) -> tuple[list[tuple[Where, bytes]], list[tuple[Where, bytes]]]:
    """Dynamics and expressions of a voice; an expression holds to a tempo or a double bar.

    Dynamics stand in directions or on the notes themselves; one within a note comes later.
    """
    dynamics: list[tuple[Where, int, bytes]] = []
    expressions: list[tuple[Where, bytes]] = []
    for index, source in enumerate(voice.bars):
        here = (index, 0)
        if index in double_bars:
            expressions.append((here, b""))
        for item in source.items:
            if isinstance(item, Note):
                if item.shape.notations or item.chord:
                    dynamics += [(here, item.onset, mark) for mark in _on_note(item)]
                here = (index, here[1] + 1)
            elif item.detail is not None and item.scope == "line":
                at = (index, item.speaks_of(notes[index], here[1]))
                mark = item.detail.dynamic and said_again(item.detail.dynamic)
                moment = item.onset + item.detail.offset
                dynamics += [(at, moment, mark)] if mark else []
                expressions += [(at, _again(item.detail))] if item.detail.expression else []
            elif _is_tempo(item) and here != _last(expressions):
                expressions.append((here, b""))
    in_order = [(at, mark) for at, _, mark in sorted(dynamics, key=itemgetter(0, 1))]
    return in_order, sorted(expressions, key=itemgetter(0))


def _on_note(note: Note) -> Iterator[bytes]:
    """Dynamics in the notations of a note or its chord, as far as they last."""
    for each in (note, *note.chord):
        for notation in each.shape.notations:
            if notation.tag == "dynamics" and (mark := said_again(notation.data)):
                yield mark


def _again(detail: DirectionDetail) -> bytes:
    below = _BELOW in detail.head.partition(b">")[0]
    return words_direction(detail.expression, italic=True, below=below)


def _last(expressions: Sequence[tuple[Where, bytes]]) -> Where | None:
    return expressions[-1][0] if expressions else None


def _is_tempo(sign: Sign) -> bool:
    return sign.scope == "score" and any(tag in sign.piece for tag in _TEMPO)


def repair(
    runs: Sequence[Run], indexes: Mapping[int, VoiceIndex], joined: Collection[Place] = ()
) -> Repairs:
    """Everything that changes because a strand plays only these runs.

    Args:
        runs: of the strand, in order.
        indexes: of the voices, by ``id``.
        joined: notes from which more players have it than before.
    """
    repairs = Repairs()
    before: Run | None = None
    for run in runs:
        index = indexes[id(run.voice)]
        for first, last in run.level:
            _mend_ties(run.voice, first, last, index, repairs)
            for span in _cut(first, last, index):
                if not span.line and span.end >= first and span.begin <= last:
                    _mend_notation(span, _Stretch(run.voice, first, last, index.notes), repairs)
        stretch = _Stretch(run.voice, run.first, run.last, index.notes)
        entry = stretch.entry()
        for span in _cut(run.first, run.last, index):
            if span.line and not (span.tag == "wedge" and run.change in DYNAMICS):
                _mend_line(span, run, entry, repairs)
        _mend_beams(run, index, repairs)
        if entry is not None:
            repairs.tell(run, entry, said_at(before, run, entry, index))
            for _, *place in sorted(p for p in joined if p[0] == id(run.voice)):
                if entry < (joint := (place[0], place[1])) <= run.last:
                    repairs.tell(run, joint, said_on_joining(run, joint, index))
            before = run._replace(last=stretch.last_sounding())
    return repairs


def _cut(first: Where, last: Where, index: VoiceIndex) -> list[Span]:
    """Spans near the ends of a stretch of notes that reach over one of them."""
    near = [*index.spans.get(first[0], ()), *index.spans.get(last[0], ())]
    seen: dict[int, Span] = {id(span): span for span in near}
    return [span for span in seen.values() if span.begin < first or span.end > last]


def _mend_line(span: Span, run: Run, entry: Where | None, repairs: Repairs) -> None:
    """A hairpin or line; its ends stand before the notes they name.

    Args:
        span: reaches over an end of the run.
        run: of the strand.
        entry: where the run begins to sound; before that nothing is begun again.
        repairs: brought up to date.
    """
    behind = (run.last[0], run.last[1] + 1)
    if span.end < run.first or span.begin > behind:
        return
    voice = id(run.voice)
    begins, ends = span.signs
    if span.begin == behind:
        repairs.lose(repairs.behind, begins, span, "start")
        if span.end == behind:
            repairs.lose(repairs.behind, ends, span, "stop")
    elif span.end == run.first:
        repairs.lose(repairs.ahead, ends, span, "stop")
    elif span.begin < run.first and (entry is None or span.end <= entry):
        if span.end <= behind:
            seen = repairs.ahead if span.end < behind else repairs.behind
            repairs.lose(seen, ends, span, "stop")
    else:
        if span.begin < run.first and entry:
            again = line_start(span.begin_data), (span.tag, "start", span.number)
            repairs.before.setdefault((voice, *entry), []).append(again)
        if span.end > behind:
            end = line_end(span.tag, span.number), (span.tag, "stop", span.number)
            repairs.after.setdefault((voice, *run.last), []).append(end)


class _Stretch(msgspec.Struct, frozen=True):
    """Notes of a voice that are played without a break."""

    voice: Voice
    first: Where
    last: Where
    notes: list[list[Note]]

    def first_sounding(self) -> Where:
        """Where it begins to sound: rests it begins with are nobody's entry."""
        bar, place = self.first
        while (bar, place) < self.last:
            if place >= len(self.notes[bar]):
                bar, place = bar + 1, 0
            elif self.notes[bar][place].pitch is not None:
                break
            else:
                place += 1
        return bar, place

    def entry(self) -> Where | None:
        """Where it begins to sound; None where it does not."""
        bar, place = self.first_sounding()
        sounds = self.notes[bar][place].pitch is not None
        return (bar, place) if sounds else None

    def last_sounding(self) -> Where:
        """Its last note that is no rest."""
        bar, place = self.last
        while (bar, place) > self.first:
            if place < 0:
                bar, place = bar - 1, len(self.notes[bar - 1]) - 1
            elif self.notes[bar][place].pitch is not None:
                break
            else:
                place -= 1
        return bar, place


def _mend_notation(span: Span, stretch: _Stretch, repairs: Repairs) -> None:
    voice = stretch.voice
    begin, end = span.begin, span.end
    if begin < stretch.first:
        begin = min(stretch.first_sounding(), end)
    if end > stretch.last:
        end = max(stretch.last_sounding(), begin)
    worth = begin != end and span.tag not in _NOT_SHORTENED
    for where, own, ends in ((begin, span.begin, "start"), (end, span.end, "stop")):
        key = (id(voice), *where)
        if worth and where != own:
            repairs.leave_out(key, span, "continue")
            repairs.put_on(key, span, ends)
        elif not worth:
            repairs.leave_out(key, span, "continue")
            if where == own:
                repairs.leave_out(key, span, ends)


def _mend_ties(
    voice: Voice, first: Where, last: Where, index: VoiceIndex, repairs: Repairs
) -> None:
    while first < last and index.notes[last[0]][last[1]].shape.kind == "forward" and last[1]:
        last = (last[0], last[1] - 1)
    begins, ends = index.notes[first[0]][first[1]], index.notes[last[0]][last[1]]
    if any(each.shape.stops_tie for each in (begins, *begins.chord)):
        repairs.ties.setdefault((id(voice), *first), set()).add("stop")
    if any(each.shape.starts_tie for each in (ends, *ends.chord)):
        repairs.ties.setdefault((id(voice), *last), set()).add("start")


def _mend_beams(run: Run, index: VoiceIndex, repairs: Repairs) -> None:
    """Beams over barlines: which are played on both sides, and in which bars one is cut."""
    for bar in index.beamed:
        before = (bar - 1, len(index.notes[bar - 1]) - 1)
        ends, begins = (run.first <= where <= run.last for where in (before, (bar, 0)))
        if ends and begins:
            repairs.beams.add((id(run.voice), bar))
        elif ends:
            repairs.beams_cut.add(bar - 1)
        elif begins:
            repairs.beams_cut.add(bar)
