"""Whether everything that begins in a score also ends, and every voice fits its bar.

Written from the standard alone; it shares no line with the package. Source: W3C MusicXML 4.0,
``<slur>``, ``<tuplet>``, ``<wedge>``, ``<octave-shift>``, ``<dashes>``, ``<bracket>``,
``<pedal>``, ``<glissando>``, ``<slide>``, ``<wavy-line>``, ``<tremolo>``, ``<beam>``,
``<tie>``, ``<ending>``, ``<part-group>``; data type ``number-level``: levels are told apart by
overlap in document order, and a stop may stand before its start in the file where a backup
comes between.
"""

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from lxml import etree

from tests.outside.reference import Clock, Event, bar_starts, score_root, sounding

STARTS = {"start", "begin", "crescendo", "diminuendo", "up", "down", "sostenuto"}
STOPS = {"stop", "end", "discontinue"}
# Which voice a thing belongs to matters for these; the rest are told apart by number alone.
BY_VOICE = {"tuplet", "tremolo", "beam"}
# These may begin and end on the same note.
ON_ONE_NOTE = {"wavy-line", "tuplet"}
ON_NOTES = {
    "slur", "tuplet", "glissando", "slide", "wavy-line", "tremolo", "hammer-on", "pull-off",
    "beam",
}  # fmt: skip
IN_DIRECTIONS = {"wedge", "octave-shift", "dashes", "bracket", "pedal"}


class End(NamedTuple):
    """One end of something that spans."""

    kind: str
    key: tuple[str, ...]
    starts: bool
    time: Fraction
    bar: str
    element: etree._Element
    place: int


def spanner_faults(data: bytes, part: int | str | None = None) -> list[str]:
    """What never ends, ends without having begun, or begins again while open.

    Args:
        data: the score.
        part: only this part, by place from 0 or by id; all parts and the part list when None.
    """
    root = score_root(data)
    found = _group_faults(root) if part is None else []
    for number, one in enumerate(root.findall("part")):
        if part not in {None, number, one.get("id")}:
            continue
        events = _timed(data, one)
        ends = [end for bar, start, event in events for end in _ends(bar, start, event)]
        faults = _unpaired(ends) + _tie_faults(one)
        found += [f"{one.get('id')} {fault}" for fault in faults]
    return found


def _timed(data: bytes, part: etree._Element) -> list[tuple[str, Fraction, Event]]:
    clock = Clock()
    return [
        (measure.get("number", ""), start, event)
        for start, measure in zip(bar_starts(data), part.findall("measure"), strict=False)
        for event in clock.events(measure)
        if event.element is not measure
    ]


def _ends(bar: str, start: Fraction, event: Event) -> Iterator[End]:
    """Every end that hangs on one element of a bar, stops before starts."""
    element, found = event.element, []
    if element.tag == "note":
        paths = ("notations/*", "notations/ornaments/*", "notations/technical/*", "beam")
        found = [one for path in paths for one in element.iterfind(path) if one.tag in ON_NOTES]
    elif element.tag == "direction":
        found = [
            one for one in element.iterfind("direction-type/*") if one.tag in IN_DIRECTIONS
        ]
    elif element.tag == "barline":
        found = element.findall("ending") + element.findall("wavy-line")
    ends = []
    for place, one in enumerate(found):
        says = str(one.text) if one.tag == "beam" else one.get("type", "single")
        if says not in STARTS | STOPS:
            continue
        key = (one.tag, "" if one.tag == "ending" else one.get("number", "1"))
        if one.tag in BY_VOICE:
            key += (event.voice, "grace" if element.find("grace") is not None else "")
        ends.append(End(one.tag, key, says in STARTS, start + event.onset, bar, element, place))
    yield from sorted(ends, key=lambda end: end.starts)


def _unpaired(ends: list[End]) -> list[str]:
    """Faults by the reading, document order or time, that leaves fewer of them."""
    by_key: dict[tuple[str, ...], list[End]] = defaultdict(list)
    for end in ends:
        by_key[end.key].append(end)
    found = []
    for one_kind in by_key.values():
        in_time = sorted(one_kind, key=lambda end: (end.time, end.starts))
        found += min(_paired_off(one_kind), _paired_off(in_time), key=len)
    return found


def _paired_off(ends: list[End]) -> list[str]:
    found, is_open, alone = [], None, None
    for end, after in pairwise([*ends, None]):
        if end is None or end is alone:
            continue
        named = f"{end.kind} {end.key[1]}".strip()
        if not end.starts and not is_open and after and _on_one_note(after, end):
            alone = after
            continue
        if end.starts and is_open:
            found.append(f"bar {end.bar}: {named} begins again while open since {is_open.bar}")
        elif not end.starts and not is_open:
            found.append(f"bar {end.bar}: {named} ends without having begun")
        is_open = end if end.starts else None
    if is_open:
        found.append(
            f"bar {is_open.bar}: {is_open.kind} {is_open.key[1]}".strip() + " never ends"
        )
    return found


def _on_one_note(start: End, stop: End) -> bool:
    """True for a trill line or tuplet that begins on a note and ends on it, written so."""
    return (
        start.kind in ON_ONE_NOTE
        and start.element is stop.element
        and start.starts
        and start.place < stop.place
    )


def _tie_faults(part: etree._Element) -> list[str]:
    """Ties whose other half is not there, and notes that tie and are drawn differently."""
    found = []
    begun: dict[tuple[Fraction, float], str] = {}
    stops: dict[tuple[Fraction, float], str] = {}
    clock, start = Clock(), Fraction(0)
    for measure in part.findall("measure"):
        bar, event = measure.get("number", ""), None
        for event in clock.events(measure):
            midi = sounding(event) if event.element.tag == "note" else None
            if midi is None:
                continue
            ties = {tie.get("type") for tie in event.element.findall("tie")}
            drawn = {tied.get("type") for tied in event.element.iterfind("notations/tied")}
            if ties != drawn & {"start", "stop"} and not drawn & {"continue", "let-ring"}:
                found.append(f"bar {bar}: tie and tied differ")
            if "stop" in ties:
                stops[start + event.onset, midi] = bar
            if "start" in ties:
                begun[start + event.onset + event.length, midi] = bar
        start += event.onset if event else 0
    found += [f"bar {bar}: tie never ends" for key, bar in begun.items() if key not in stops]
    return found + [
        f"bar {bar}: tie ends without having begun"
        for key, bar in stops.items()
        if key not in begun
    ]


def _group_faults(root: etree._Element) -> list[str]:
    """Part groups that are not nested and closed."""
    stack: list[str] = []
    found = []
    for group in root.iterfind("part-list/part-group"):
        number = group.get("number", "1")
        if group.get("type") == "start":
            stack.append(number)
        elif stack and stack[-1] == number:
            stack.pop()
        else:
            found.append(f"part-group {number} ends out of its turn")
    return found + [f"part-group {number} never ends" for number in stack]


def voice_faults(
    data: bytes, part: int | str | None = None, *, filled: bool = True
) -> list[str]:
    """Voices that overlap themselves, leave the bar, or leave gaps.

    Args:
        data: the score.
        part: only this part, by place from 0 or by id; all when None.
        filled: also name voices that do not fill their bar from its start to its end.
    """
    root, found = score_root(data), []
    longest = bar_starts(data)
    for number, one in enumerate(root.findall("part")):
        if part not in {None, number, one.get("id")}:
            continue
        clock = Clock()
        for place, measure in enumerate(one.findall("measure")):
            length = longest[place + 1] - longest[place]
            faults = _bar_faults(list(clock.events(measure)), length, filled=filled)
            found += [
                f"{one.get('id')} bar {measure.get('number')}: {fault}" for fault in faults
            ]
    return found


def _bar_faults(events: list[Event], length: Fraction, *, filled: bool) -> list[str]:
    found, reached, first_of_chord = [], dict[str, Fraction](), Fraction(0)
    for event in events:
        if event.onset < 0:
            found.append("a backup leaves the bar")
        if (
            event.element.tag not in {"note", "forward"}
            or event.element.find("grace") is not None
        ):
            continue
        if event.element.find("chord") is not None:
            if event.length > first_of_chord:
                found.append("a chord note outlasts the first")
            continue
        first_of_chord = event.length
        if event.element.tag == "forward" and event.element.find("voice") is None:
            continue
        before = reached.get(event.voice, Fraction(0))
        if event.onset < before:
            found.append(f"voice {event.voice} overlaps itself at {event.onset}")
        if event.onset > before and filled:
            found.append(f"voice {event.voice} has a gap at {before}")
        reached[event.voice] = max(before, event.onset + event.length)
    if filled:
        found += [
            f"voice {voice} ends at {end} of {length}"
            for voice, end in reached.items()
            if end != length
        ]
    return found
