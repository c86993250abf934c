"""What a plan should sound like: a small model of its own, by our reference reader's notes.

It shares no line with the package. A written note belongs to the passage it begins in; what
stands under a tuplet or between two notes of a tremolo belongs to where that begins, since it
is not cut. A section begins nothing new while it holds a note of the passage before. Notes
are compared split at the borders, so that it does not matter here whether a tie over a border
is one note still or two.
"""

import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

from hypothesis import reject

import rewriter
from rewriter.problems import Refused
from tests.outside.reference import (
    Clock,
    Event,
    Found,
    Heard,
    bar_starts,
    chosen_part,
    heard_in_xml,
    score_root,
    sounding,
    ties_merged,
)
from tests.property.plans import SECTIONS, Line, Moment, Passage, Plan, Source

NOT_COUNTED = (
    "past C0 or B9",
    "between C0 and B9",
    "octaves MusicXML can write",
    "has no notes",
)


class Written(NamedTuple):
    """A written chord, note or rest: the moment it can be cut at, its own time, its notes."""

    moment: Moment
    onset: Fraction
    end: Fraction
    notes: tuple[Found, ...]


def expand(plan: Plan, **options: Any) -> rewriter.Expansion:
    """The sketch through the plan; sketches without a note in the tune do not count."""
    if not any(one.notes for one in written_in(plan.sketch.data, plan.tune)):
        reject()
    try:
        return expanded(plan, **options)
    except Refused as refused:
        if any(said in str(refused) for said in NOT_COUNTED):
            reject()
        raise


def expanded(plan: Plan, **options: Any) -> rewriter.Expansion:
    """The sketch through the plan, whatever comes of it."""
    with tempfile.TemporaryDirectory() as folder:
        for name, text in plan.files.items():
            Path(folder, name).write_text(text, encoding="utf-8")
        path = str(Path(folder, "plan.toml"))
        return rewriter.expand(plan.sketch.data, plan=path, tune=plan.tune.said, **options)


def written_in(data: bytes, source: Source, starts: Sequence[Fraction] = ()) -> list[Written]:
    """Notes, chords and rests of a voice as they are written, highest note first.

    Args:
        data: the sketch.
        source: the voice.
        starts: of the bars; by its longest part when empty.
    """
    _, part, staff, voice = source
    starts = starts or bar_starts(data)
    clock, found = Clock(), []
    for bar, measure in enumerate(chosen_part(data, part).findall("measure")):
        start = starts[bar]
        events = list(clock.events(measure))
        mine = [
            event
            for event in events
            if event.element.tag == "note"
            and staff in {None, event.staff}
            and voice in {None, event.voice}
        ]
        inside, anchor = 0, Fraction(0)
        for chord in _chords(mine):
            onset = chord[0].onset
            if inside == 0 and onset.denominator & (onset.denominator - 1) == 0:
                anchor = onset
            inside += _depth(chord)
            notes = [_found(event, start, bar, events[-1].onset) for event in chord]
            sounds = [one for one in notes if one is not None]
            sounds.sort(key=lambda one: -one.heard.midi)
            found.append(Written((bar, anchor), onset, onset + chord[0].length, tuple(sounds)))
    return found


def uncut(tune: Sequence[Written], border: Moment) -> Moment:
    """A border, moved behind the tuplet or tremolo of the tune that it would cut."""
    bar, onset = border
    here = [one for one in tune if one.moment[0] == bar]
    if not any(one.moment[1] < onset <= one.onset for one in here):
        return border
    later = [one.moment for one in here if one.moment >= border]
    return min(later, default=(bar + 1, Fraction(0)))


def _chords(events: Sequence[Event]) -> Iterator[list[Event]]:
    chord: list[Event] = []
    for event in events:
        if chord and event.element.find("chord") is None:
            yield chord
            chord = []
        chord.append(event)
    if chord:
        yield chord


def _depth(chord: Sequence[Event]) -> int:
    """How many more tuplets and tremolos are open behind a chord than before it."""
    tags = ("notations/tuplet", "notations/ornaments/tremolo")
    signs = {
        (one.tag, one.get("type"), one.get("number"))
        for event in chord
        for tag in tags
        for one in event.element.iterfind(tag)
        if event.element.find("cue") is None or one.tag == "tuplet"
    }
    return sum((kind == "start") - (kind == "stop") for _, kind, _ in signs)


def _found(event: Event, start: Fraction, bar: int, length: Fraction) -> Found | None:
    midi = sounding(event)
    if midi is None:
        return None
    ties = frozenset(tie.get("type", "") for tie in event.element.findall("tie"))
    heard = Heard(start + event.onset, event.length, midi)
    return Found(heard, ties, bar, event.onset == 0, event.onset + event.length == length)


def dealt(notes: Sequence[Found], place: int, lines: int) -> Sequence[Found]:
    """What one of several lines has of a chord, highest first: the upper have the more."""
    if not notes:
        return ()
    if len(notes) < lines:
        counts = _portions(lines, len(notes))[::-1]  # the lower notes are doubled
        owners = [note for note, count in zip(notes, counts, strict=True) for _ in range(count)]
        return owners[place : place + 1]
    portions = _portions(len(notes), lines)
    first = sum(portions[:place])
    return notes[first : first + portions[place]]


def _portions(things: int, among: int) -> list[int]:
    """Things dealt out one by one in turn: how many each gets."""
    return [things // among + (place < things % among) for place in range(among)]


class Model:
    """What every section should sound by a plan.

    Attributes:
        lines: by section, (passage, line, notes) of each line.
        borders: quarters from the beginning, where notes may be cut.
        passages: of the plan, with the borders where they come to lie.
        busy: by section, (passage, bar, end in the bar) of all it plays.
    """

    def __init__(self, plan: Plan, expansion: rewriter.Expansion) -> None:
        self.plan = plan
        self.starts = bar_starts(expansion.score)
        self.lines: dict[str, list[tuple[Passage, Line, list[Found]]]] = {}
        self.borders: set[Fraction] = set()
        self.passages: list[Passage] = []
        self.busy: dict[str, list[tuple[Passage, int, Fraction]]] = {s: [] for s in SECTIONS}
        tune = written_in(plan.sketch.data, plan.tune, self.starts)
        for said, placed in zip(plan.passages, expansion.report.passages, strict=True):
            self.borders |= {self._time(said.start), self._time(said.stop)}
            up = 0 if said.anchored else _octave_said(placed.stack) - said.lines[0].octave
            start, stop = uncut(tune, said.start), uncut(tune, said.stop)
            passage = replace(said, start=start, stop=stop)
            self.passages.append(passage)
            inside = self._within(tune, passage)
            for line in passage.lines:
                self._add(passage, line, [_top(one) for one in inside], up)
            for one in passage.withs:
                voice = written_in(plan.sketch.data, one.source, self.starts)
                inside = self._within(voice, passage)
                for place, line in enumerate(one.lines):
                    if one.chords == "top":
                        chosen = [_top(each) for each in inside]
                    else:
                        count = len(one.lines)
                        chosen = [
                            each._replace(notes=tuple(dealt(each.notes, place, count)))
                            for each in inside
                        ]
                    self._add(passage, line, chosen, 0)

    def _time(self, moment: Moment) -> Fraction:
        return self.starts[moment[0]] + moment[1]

    def _within(self, voice: list[Written], passage: Passage) -> list[Written]:
        inside = [one for one in voice if passage.start <= one.moment < passage.stop]
        behind = [one for one in voice if one.moment >= passage.stop]
        for some in (inside, behind):
            if any(one.notes for one in some):
                self.borders.add(min(n.heard.onset for one in some for n in one.notes))
        return inside

    def _add(self, passage: Passage, line: Line, played: Sequence[Written], up: int) -> None:
        """What a line plays, but for what begins while its players still hold a note."""
        mine = self.lines.setdefault(line.section, [])
        bar, onset = passage.start
        free = max(
            (
                end
                for before, at, end in self.busy[line.section]
                if before is not passage and at == bar
            ),
            default=Fraction(0),
        )
        groups = Counter(one.moment for one in played)
        late = {
            one.moment
            for one in played
            if one.moment[0] == bar
            and onset <= one.onset < free
            and (one.notes or groups[one.moment] > 1)
        }
        played = [one for one in played if one.moment not in late]
        heard_of = {one.moment for one in played if one.notes}
        self.busy[line.section] += [
            (passage, one.moment[0], one.end)
            for one in played
            if one.notes or (one.moment in heard_of and one.onset > one.moment[1])
        ]
        shift = passage.semitones + 12 * (line.octave + up)
        notes = [
            one._replace(heard=one.heard._replace(midi=one.heard.midi + shift))
            for some in played
            for one in some.notes
        ]
        mine.append((passage, line, notes))

    def sounding(self, section: str) -> Counter[Heard]:
        """What a section should sound, notes split at the borders."""
        notes = [one for _, _, some in self.lines.get(section, []) for one in some]
        return self.split(ties_merged(notes))

    def told(self, passage: Passage, section: str) -> Counter[Heard]:
        """What a section is told in a passage, ties left out of account."""
        return Counter(
            one.heard
            for owner, _, notes in self.lines.get(section, [])
            if owner is passage
            for one in notes
        )

    def within(self, passage: Passage, notes: Iterable[Heard]) -> Counter[Heard]:
        """The notes that begin in a passage."""
        start, stop = self._time(passage.start), self._time(passage.stop)
        return Counter(note for note in notes if start <= note.onset < stop)

    def split(self, notes: Iterable[Heard]) -> Counter[Heard]:
        """Notes cut at every border they are held over."""
        pieces = Counter[Heard]()
        for note in notes:
            onset, end = note.onset, note.onset + note.length
            cuts = sorted(border for border in self.borders if onset < border < end)
            for begin, stop in zip([onset, *cuts], [*cuts, end], strict=True):
                pieces[Heard(begin, stop - begin, note.midi)] += 1
        return pieces


def _top(chord: Written) -> Written:
    return chord._replace(notes=chord.notes[:1])


def _octave_said(stack: str) -> int:
    """The octave of a stack's top line, as the report words it."""
    top = stack.split(" / ", maxsplit=1)[0].split(" // ", maxsplit=1)[0].split()
    words = {"15ma": 2, "8va": 1, "loco": 0, "8vb": -1, "15mb": -2}
    return int(top[-1]) if "octave" in top else words[top[-1]]


def heard_by_section(score: bytes) -> dict[str, list[Heard]]:
    """What every section sounds, a second staff with the first."""
    heard: dict[str, list[Heard]] = {section: [] for section in SECTIONS}
    for number, part in enumerate(score_root(score).findall("part")):
        section = SECTIONS[int(part.get("id", "").strip("Pb")) - 1]
        heard[section] += heard_in_xml(score, number)
    return heard
