"""What a MusicXML score sounds like, read straight from the standard; the slow way, on purpose.

It shares no line with the package and knows nothing of its output. Source: W3C MusicXML 4.0,
pages of ``<note>``, ``<chord>``, ``<backup>``, ``<forward>``, ``<divisions>``, ``<transpose>``
and ``<tie>``.

How it hears: repeats not unfolded; ``<transpose>`` applied from where it stands; tied runs are
one note; grace notes, cue notes and unpitched notes are left out, tremolos sound as written; a
bar begins where the longest part of the bar before it ended. ``<double>`` and ``<for-part>``
are not looked at, nor are articulations or ``<sound>``.
"""

import io
import zipfile
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate
from typing import NamedTuple

from lxml import etree

STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


class Heard(NamedTuple):
    """One sounding note: onset and length in quarters, MIDI number by sound (C4 = 60)."""

    onset: Fraction
    length: Fraction
    midi: float


class Event(NamedTuple):
    """One element of a bar with its time; length 0 for what takes none, onset from the bar."""

    element: etree._Element
    onset: Fraction
    length: Fraction
    voice: str
    staff: str
    transposed_by: float


class Found(NamedTuple):
    """A note with what is needed to tie it: its bar counted from 0, its ``<tie>`` types."""

    heard: Heard
    ties: frozenset[str]
    bar: int
    opens_bar: bool
    closes_bar: bool


@lru_cache(maxsize=4)
def score_root(data: bytes) -> etree._Element:
    """The partwise root of a score given as XML, zipped or timewise."""
    if data[:2] == b"PK":
        data = _unzipped(data)
    parser = etree.XMLParser(
        no_network=True, load_dtd=False, resolve_entities=False, huge_tree=True
    )
    root = etree.fromstring(data, parser)
    if root.tag == "score-timewise":
        root = _partwise(root)
    return root


def _unzipped(data: bytes) -> bytes:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        container = etree.fromstring(archive.read("META-INF/container.xml"))
        rootfile = next(
            one for one in container.iter() if etree.QName(one).localname == "rootfile"
        )
        return archive.read(rootfile.get("full-path", ""))


def _partwise(root: etree._Element) -> etree._Element:
    turned = etree.Element("score-partwise")
    parts: dict[str, etree._Element] = {}
    for child in list(root):
        if child.tag != "measure":
            turned.append(child)
            continue
        for part in list(child):
            name = part.get("id", "")
            if name not in parts:
                parts[name] = etree.SubElement(turned, "part", id=name)
            measure = etree.SubElement(parts[name], "measure", dict(child.attrib))
            measure.extend(list(part))
    return turned


class Clock:
    """Walks the bars of one part and keeps what lasts: divisions and transposition."""

    def __init__(self) -> None:
        self.divisions = Fraction(1)
        self.steps: dict[str, float] = {}

    def events(self, measure: etree._Element) -> Iterator[Event]:
        """Everything in the bar with its onset; the last event's element is the bar itself.

        That last one's onset is the furthest point reached, the length of the bar.
        """
        now = start_of_chord = furthest = Fraction(0)
        for element in measure.iterchildren(etree.Element):
            length = self._length(element)
            voice, staff = element.findtext("voice", "1"), element.findtext("staff", "1")
            onset = now
            if element.tag == "attributes":
                self._attributes(element)
            elif element.tag == "direction" and element.find("offset") is not None:
                onset = now + Fraction(element.findtext("offset", "0")) / self.divisions
            elif element.tag == "note" and element.find("chord") is not None:
                onset = start_of_chord
            elif element.tag == "backup":
                now -= length
            elif element.tag in {"note", "forward"}:
                start_of_chord = now
                now += length
            furthest = max(furthest, now)
            steps = self.steps.get(staff, self.steps.get("", 0.0))
            yield Event(element, onset, length, voice, staff, steps)
        yield Event(measure, furthest, Fraction(0), "", "", 0.0)

    def _length(self, element: etree._Element) -> Fraction:
        if element.tag not in {"note", "backup", "forward"}:
            return Fraction(0)
        return Fraction(element.findtext("duration", "0").strip()) / self.divisions

    def _attributes(self, element: etree._Element) -> None:
        if divisions := element.findtext("divisions"):
            self.divisions = Fraction(divisions.strip())
        for transpose in element.findall("transpose"):
            octaves = int(transpose.findtext("octave-change", "0"))
            steps = float(transpose.findtext("chromatic", "0")) + 12 * octaves
            if transpose.get("number") is None:
                self.steps = {}
            self.steps[transpose.get("number", "")] = steps


def bar_lengths(data: bytes) -> list[list[Fraction]]:
    """Length in quarters of every bar of every part, by how far its elements reach."""
    return [
        [_reach(clock, measure) for measure in part.findall("measure")]
        for part in score_root(data).findall("part")
        for clock in [Clock()]
    ]


def _reach(clock: Clock, measure: etree._Element) -> Fraction:
    return list(clock.events(measure))[-1].onset


@lru_cache(maxsize=4)
def bar_starts(data: bytes) -> list[Fraction]:
    """Where each bar begins, in quarters, by the longest part of every bar before it."""
    columns = bar_lengths(data)
    starts = [Fraction(0)]
    for number in range(max((len(part) for part in columns), default=0)):
        starts.append(starts[-1] + max(part[number] for part in columns if number < len(part)))
    return starts


def tune_bar_lengths(data: bytes, part: int | str) -> list[Fraction]:
    """How long the bars of a sketch are for its tune.

    In a sound file every part says the same. Where they do not, a bar of the tune that fills
    its metre is right, and a shorter one is as long as the longest part.
    """
    chosen, longest = chosen_part(data, part), bar_starts(data)
    clock, metre, found = Clock(), Fraction(0), []
    for bar, measure in enumerate(chosen.findall("measure")):
        for time in measure.iterfind("attributes/time"):
            metre = _metre(time)
        own = _reach(clock, measure)
        found.append(own if metre and own >= metre else longest[bar + 1] - longest[bar])
    return found


def _metre(time: etree._Element) -> Fraction:
    """Quarters in a full bar; 0 where there is no metre."""
    pairs = zip(time.findall("beats"), time.findall("beat-type"), strict=True)
    return sum(
        (
            Fraction(4 * sum(int(one) for one in (beats.text or "0").split("+")))
            / int(unit.text or "4")
            for beats, unit in pairs
        ),
        Fraction(0),
    )


def chosen_part(data: bytes, part: int | str) -> etree._Element:
    """A part by its place from 0, or by its id."""
    parts = score_root(data).findall("part")
    return (
        parts[part] if isinstance(part, int) else next(p for p in parts if p.get("id") == part)
    )


def part_ids(data: bytes) -> list[str]:
    """Ids of the parts in the order they stand."""
    return [part.get("id", "") for part in score_root(data).findall("part")]


def heard_in_xml(
    data: bytes,
    part: int | str = 0,
    *,
    staff: str | None = None,
    voice: str | None = None,
    chords: str = "all",
    lengths: list[Fraction] | None = None,
) -> list[Heard]:
    """What one part sounds like.

    Args:
        data: the score.
        part: place of the part counted from 0, or its id.
        staff: only notes of this staff, as ``<staff>`` says; all when None.
        voice: only notes of this voice, as ``<voice>`` says; all when None.
        chords: ``all`` notes, or the ``top`` one by sound.
        lengths: of the bars, in quarters; by the longest part when None.
    """
    clock, found = Clock(), []
    starts = (
        bar_starts(data) if lengths is None else [*accumulate(lengths, initial=Fraction(0))]
    )
    bars = zip(starts, chosen_part(data, part).findall("measure"), strict=False)
    for bar, (start, measure) in enumerate(bars):
        chord: list[Found] = []
        events = list(clock.events(measure))
        for event in events:
            if event.element.tag != "note" or event.element.find("chord") is None:
                found += _of_chord(chord, chords)
                chord = []
            if staff not in {None, event.staff} or voice not in {None, event.voice}:
                continue
            if (midi := sounding(event)) is not None:
                ties = frozenset(tie.get("type", "") for tie in event.element.findall("tie"))
                heard = Heard(start + event.onset, event.length, midi)
                closes = event.onset + event.length == events[-1].onset
                chord.append(Found(heard, ties, bar, event.onset == 0, closes))
    return ties_merged(found)


def _of_chord(chord: list[Found], chords: str) -> list[Found]:
    if chords == "top" and chord:
        return [max(chord, key=lambda one: one.heard.midi)]
    return chord


def sounding(event: Event) -> float | None:
    """MIDI number by sound; None for what this reader does not hear."""
    element = event.element
    pitch = element.find("pitch")
    if pitch is None or element.find("grace") is not None or element.find("cue") is not None:
        return None
    octave = int(pitch.findtext("octave", ""))
    written = 12 * (octave + 1) + STEPS[pitch.findtext("step", "")]
    return written + float(pitch.findtext("alter", "0")) + event.transposed_by


def ties_merged(found: list[Found]) -> list[Heard]:
    """Runs of tied notes as one note each; a tie that finds no partner is not one.

    A partner begins where the note ends or, since real files have bars that are not full, is
    the first thing in the next bar.
    """
    whole: list[Heard] = []
    open_runs: dict[float, list[tuple[int, Found]]] = {}
    for one in sorted(found):
        heard, ties = one.heard, one.ties
        runs = open_runs.setdefault(heard.midi, [])
        matching = [run for run in runs if _meets(run[1], one)]
        if "stop" in ties and matching:
            runs.remove(matching[0])
            place = matching[0][0]
            whole[place] = whole[place]._replace(length=whole[place].length + heard.length)
        else:
            place = len(whole)
            whole.append(heard)
        if "start" in ties:
            runs.append((place, one))
    return sorted(whole)


def _meets(before: Found, after: Found) -> bool:
    if before.heard.onset + before.heard.length == after.heard.onset:
        return True
    return before.closes_bar and after.opens_bar and before.bar == after.bar - 1


def heard_by_reference(data: bytes) -> list[list[Heard]]:
    """What every part sounds like, in the order the parts stand."""
    return [heard_in_xml(data, number) for number in range(len(part_ids(data)))]
