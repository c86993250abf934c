"""What a plan should sound like: a small model of its own, by our reference reader's notes.

It shares no line with the package. A written note belongs to the passage it begins in; what
stands under a tuplet or between two notes of a tremolo belongs to where that begins, since it
is not cut. Nobody begins something new while he holds a note of the passage before. Notes
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


PARTS = 12  # of a player: a third of sixteen is five and a third
STRENGTH = dict(zip(SECTIONS, (16, 14, 12, 10, 8), strict=True))


class Players(NamedTuple):
    """Who plays a line, counted in parts of players: how many, and whether they have names."""

    count: int
    named: bool

    def first_free(self, until: Sequence[Fraction], among: set[int]) -> list[int]:
        """From the front of the section those named; from its back whoever is free first."""
        if self.named:
            return list(range(self.count))
        return sorted(among, key=lambda at: (until[at], -at))[: self.count]


def players_of(line: Line, lines: list[Line]) -> Players:
    """Of a line among all its section has; who is not spoken of shares what is left."""
    whole = PARTS * STRENGTH[line.section]
    named = {"solo": PARTS, "desk 1": 2 * PARTS, "desks 1-2": 4 * PARTS}
    part = {"half": whole // 2, "third": whole // 3, **named}
    if line.share:
        return Players(part[line.share], line.share in named)
    left = whole - sum(part[one.share] for one in lines if one.share)
    return Players(left // sum(not one.share for one in lines), named=False)


class Model:
    """What every section should sound by a plan.

    Attributes:
        lines: by section, (passage, line, notes) of each line.
        borders: quarters from the beginning, where notes may be cut.
        passages: of the plan, with the borders where they come to lie.
        busy: by section, (passage, players, {bar: end of its last note there}) of each line.
    """

    def __init__(self, plan: Plan, expansion: rewriter.Expansion) -> None:
        self.plan = plan
        self.starts = bar_starts(expansion.score)
        self.lines: dict[str, list[tuple[Passage, Line, list[Found]]]] = {}
        self.borders: set[Fraction] = set()
        self.passages: list[Passage] = []
        self.busy: dict[str, list[tuple[Passage, Players, dict[int, Fraction]]]] = {
            section: [] for section in SECTIONS
        }
        tune = written_in(plan.sketch.data, plan.tune, self.starts)
        for said, placed in zip(plan.passages, expansion.report.passages, strict=True):
            self.borders |= {self._time(said.start), self._time(said.stop)}
            up = 0 if said.anchored else _octave_said(placed.stack) - said.lines[0].octave
            start, stop = uncut(tune, said.start), uncut(tune, said.stop)
            passage = replace(said, start=start, stop=stop)
            self.passages.append(passage)
            inside = self._within(tune, passage)
            everybody = [*passage.lines, *(line for one in passage.withs for line in one.lines)]
            free = self._free(passage, everybody)
            for line in passage.lines:
                self._add(passage, line, [_top(one) for one in inside], up, free[id(line)])
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
                    self._add(passage, line, chosen, 0, free[id(line)])

    def _time(self, moment: Moment) -> Fraction:
        return self.starts[moment[0]] + moment[1]

    def _within(self, voice: list[Written], passage: Passage) -> list[Written]:
        inside = [one for one in voice if passage.start <= one.moment < passage.stop]
        behind = [one for one in voice if one.moment >= passage.stop]
        for some in (inside, behind):
            if any(one.notes for one in some):
                self.borders.add(min(n.heard.onset for one in some for n in one.notes))
        return inside

    def _free(self, passage: Passage, lines: list[Line]) -> dict[int, tuple[Players, Fraction]]:
        """For each line its players, and from when in the passage's first bar they are free."""
        bar = passage.start[0]
        found = {}
        for section in {line.section for line in lines}:
            mine = [line for line in lines if line.section == section]
            held = [
                (players, ends.get(bar, Fraction(0)))
                for before, players, ends in self.busy[section]
                if before is not passage
            ]
            until = [Fraction(0)] * (PARTS * STRENGTH[section])
            for players, end in sorted(held, key=lambda one: (not one[0].named, one[1])):
                for at in players.first_free(until, set(range(len(until)))):
                    until[at] = max(until[at], end)
            left = set(range(len(until)))
            every = [(line, players_of(line, mine)) for line in mine]
            for line, players in sorted(every, key=lambda one: not one[1].named):
                chosen = players.first_free(until, left or set(range(len(until))))
                left -= {*chosen}
                found[id(line)] = players, max(until[at] for at in chosen)
        return found

    def _add(
        self,
        passage: Passage,
        line: Line,
        played: Sequence[Written],
        up: int,
        who: tuple[Players, Fraction],
    ) -> None:
        """What a line plays, but for what begins while its players still hold a note."""
        mine = self.lines.setdefault(line.section, [])
        bar, onset = passage.start
        players, free = who
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
        ends: dict[int, Fraction] = {}
        for one in played:
            if one.notes or (one.moment in heard_of and one.onset > one.moment[1]):
                at = one.moment[0]
                ends[at] = max(ends.get(at, Fraction(0)), one.end)
        self.busy[line.section].append((passage, players, ends))
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
