"""One edit of a made-up score, as a hand would make it, and where it has to be found."""

from collections.abc import Callable
from copy import deepcopy
from fractions import Fraction
from itertools import pairwise
from random import Random
from typing import NamedTuple

from lxml import etree

Element = etree._Element


class Found(NamedTuple):
    """What must be found: kind, bar from 0, quarters from its start, and what each has.

    A text of None is for what is not there; `...` for whatever is.
    """

    kind: str
    bar: int
    onset: Fraction | None
    was: str | None
    now: str | None


class Place(NamedTuple):
    """An element at its time."""

    element: Element
    bar: int
    onset: Fraction
    voice: str


ANY = "..."
Edit = Callable[[Element, Random], Found | None]


def places(root: Element, tag: str = "note") -> list[Place]:
    """Elements of the first part, in document order."""
    found: list[Place] = []
    scale = Fraction(1)
    for index, bar in enumerate(root.find("part").findall("measure")):  # type: ignore[union-attr]
        at = onset = Fraction(0)
        for child in bar:
            if child.tag == "attributes" and child.find("divisions") is not None:
                scale = 1 / Fraction(child.findtext("divisions"))
            length = Fraction(child.findtext("duration") or 0) * scale
            if child.find("chord") is None:
                onset = at
                at += {"note": length, "forward": length, "backup": -length}.get(child.tag, 0)
            if child.tag == tag:
                found.append(Place(child, index, onset, child.findtext("voice") or "1"))
    return found


def heard(root: Element) -> list[Place]:
    """Notes of the first part with a pitch and a length."""
    return [
        place
        for place in places(root)
        if place.element.find("pitch") is not None and place.element.find("grace") is None
        and place.element.find("cue") is None
    ]  # fmt: skip


def plain(root: Element) -> list[Place]:
    """Those that are first in their chord."""
    return [one for one in heard(root) if one.element.find("chord") is None]


def notations(note: Element) -> Element:
    found = note.find("notations")
    if found is None:
        found = etree.Element("notations")
        before = [child for child in note if child.tag not in {"lyric", "play", "listen"}]
        before[-1].addnext(found)
    return found


def _direction(place: Place, inside: str) -> None:
    said = f"<direction><direction-type>{inside}</direction-type></direction>"
    direction = etree.fromstring(said)
    staff = place.element.find("staff")
    if staff is not None:
        direction.append(deepcopy(staff))
    place.element.addprevious(direction)


def _first_of(root: Element, rng: Random) -> Place | None:
    """A note before which a direction stands at the note's time: not within graces."""
    found = [
        one for one in plain(root)
        if (before := one.element.getprevious()) is None or before.find("grace") is None
    ]  # fmt: skip
    return rng.choice(found) if found else None


def move_a_note(root: Element, rng: Random) -> Found | None:
    """Up or down an octave: another pitch at the same place."""
    notes = [one for one in heard(root) if not one.element.findall("tie")]
    if not notes:
        return None
    note = rng.choice(notes)
    octave = note.element.find("pitch/octave")
    octave.text = str(int(octave.text) + (1 if int(octave.text) < 5 else -1))  # type: ignore[union-attr, arg-type]
    return Found("pitch", note.bar, note.onset, ANY, ANY)


def shorten_a_note(root: Element, rng: Random) -> Found | None:
    """Half as long, with a rest after it; long notes, so that no flag comes into it."""
    notes = [
        one for one in plain(root)
        if one.element.findtext("type") in {"half", "whole"}
        and one.element.find("time-modification") is None
        and not _chord_follows(one.element)
    ]  # fmt: skip
    if not notes:
        return None
    note = rng.choice(notes)
    duration = note.element.find("duration")
    half = int(duration.text) // 2  # type: ignore[union-attr, arg-type]
    if half * 2 != int(duration.text):  # type: ignore[union-attr, arg-type]
        return None
    duration.text = str(half)  # type: ignore[union-attr]
    voice, staff = note.element.findtext("voice"), note.element.findtext("staff")
    rest = f"<note><rest/><duration>{half}</duration><voice>{voice or 1}</voice>"
    rest += f"<staff>{staff}</staff></note>" if staff else "</note>"
    note.element.addnext(etree.fromstring(rest))
    return Found("length", note.bar, note.onset, ANY, ANY)


def _chord_follows(note: Element) -> bool:
    after = note.getnext()
    return after is not None and after.find("chord") is not None


def add_an_articulation(root: Element, rng: Random) -> Found | None:
    notes = plain(root)
    if not notes:
        return None
    note = rng.choice(notes)
    family = etree.SubElement(notations(note.element), "articulations")
    etree.SubElement(family, "other-articulation").text = "heavy"
    return Found("articulation", note.bar, note.onset, None, "other-articulation heavy")


def remove_an_articulation(root: Element, rng: Random) -> Found | None:
    notes = [
        one for one in plain(root) if one.element.find("notations/articulations/*") is not None
    ]
    if not notes:
        return None
    note = rng.choice(notes)
    (gone, family) = rng.choice(
        [
            (one, family)
            for family in note.element.iterfind("notations/articulations")
            for one in family
        ]
    )
    family.remove(gone)
    return Found("articulation", note.bar, note.onset, ANY, None)


def add_a_fingering(root: Element, rng: Random) -> Found | None:
    notes = plain(root)
    if not notes:
        return None
    note = rng.choice(notes)
    family = etree.SubElement(notations(note.element), "technical")
    etree.SubElement(family, "fingering").text = "9"
    return Found("fingering", note.bar, note.onset, None, "9")


def add_a_fermata(root: Element, rng: Random) -> Found | None:
    notes = plain(root)
    if not notes:
        return None
    note = rng.choice(notes)
    etree.SubElement(notations(note.element), "fermata").text = "square"
    return Found("fermata", note.bar, note.onset, None, "square")


def add_a_slur(root: Element, rng: Random) -> Found | None:
    notes = plain(root)
    voice = rng.choice(sorted({one.voice for one in notes})) if notes else ""
    line = [one for one in notes if one.voice == voice]
    if len(line) < 2:
        return None
    start = rng.randrange(len(line) - 1)
    stop = rng.randrange(start + 1, len(line))
    for place, end in ((start, "start"), (stop, "stop")):
        etree.SubElement(notations(line[place].element), "slur", type=end, number="5")
    return Found("slur", line[start].bar, line[start].onset, None, "")


def remove_a_slur(root: Element, rng: Random) -> Found | None:
    ends = [
        (one, slur)
        for one in heard(root)
        for slur in one.element.iterfind("notations/slur")
        if slur.get("number") == "2"  # of made-up music, the short ones inside
    ]
    if len(ends) < 2:
        return None
    place = rng.randrange(len(ends) // 2) * 2
    for _, slur in ends[place : place + 2]:
        slur.getparent().remove(slur)  # type: ignore[union-attr]
    first = ends[place][0]
    return Found("slur", first.bar, first.onset, "", None)


def remove_a_tie(root: Element, rng: Random) -> Found | None:
    notes = plain(root)
    pairs = [
        (one, two)
        for one, two in pairwise(notes)
        if one.element.find("tie[@type='start']") is not None and one.voice == two.voice
        and two.element.find("tie[@type='stop']") is not None
        and not _chord_follows(one.element)
    ]  # fmt: skip
    if not pairs:
        return None
    one, two = rng.choice(pairs)
    for note, end in ((one, "start"), (two, "stop")):
        for sign in note.element.xpath(f"tie[@type='{end}']|notations/tied[@type='{end}']"):
            sign.getparent().remove(sign)
    return Found("tie", one.bar, one.onset, "to the next", None)


def _add(kind: str, inside: str, said: str) -> Edit:
    def add(root: Element, rng: Random) -> Found | None:
        place = _first_of(root, rng)
        if place is None:
            return None
        _direction(place, inside)
        return Found(kind, place.bar, place.onset, None, said)

    return add


def add_a_hairpin(root: Element, rng: Random) -> Found | None:
    notes = [one for one in plain(root) if one.voice == "1"]
    if len(notes) < 3:
        return None
    start = rng.randrange(len(notes) - 2)
    _direction(notes[start], '<wedge type="crescendo" number="6"/>')
    _direction(notes[-1], '<wedge type="stop" number="6"/>')
    return Found("hairpin", notes[start].bar, notes[start].onset, None, "crescendo")


def end_a_hairpin_earlier(root: Element, rng: Random) -> Found | None:
    """Its end, and nothing else, is elsewhere."""
    ends = [
        one for one in places(root, "direction") if one.element.find(".//wedge") is not None
    ]
    pairs = [
        (one, two)
        for one, two in zip(ends[0::2], ends[1::2], strict=False)
        if one.element.find("offset") is None and two.element.find("offset") is None
        and two.bar > one.bar + 1
    ]  # fmt: skip
    notes = plain(root)
    if not pairs:
        return None
    one, two = rng.choice(pairs)
    # At the bar's beginning: from there it is further than signs stray when they are saved.
    target = next((note for note in notes if note[1:3] == (one.bar + 1, 0)), None)
    if target is None:
        return None
    target.element.addprevious(two.element)
    return Found("hairpin", one.bar, None, ANY, ANY)


def add_a_clef(root: Element, rng: Random) -> Found | None:
    """After the last one that is there, so that nothing else becomes a change."""
    bars = root.find("part").findall("measure")  # type: ignore[union-attr]
    last = max((n for n, bar in enumerate(bars) if bar.find(".//clef") is not None), default=0)
    if last + 1 >= len(bars):
        return None
    place = rng.randrange(last + 1, len(bars))
    clef = "<clef number='1'><sign>C</sign><line>1</line></clef>"
    bars[place].insert(0, etree.fromstring(f"<attributes>{clef}</attributes>"))
    return Found("clef", place, Fraction(0), None, "C1")


def add_a_barline(root: Element, rng: Random) -> Found | None:
    bars = list(enumerate(root.find("part").findall("measure")))  # type: ignore[union-attr]
    free = [(n, bar) for n, bar in bars if bar.find("barline[@location='right']") is None]
    if not free:
        return None
    place, bar = rng.choice(free)
    said = "<barline location='right'><bar-style>light-light</bar-style></barline>"
    bar.append(etree.fromstring(said))
    return Found("barline", place, None, None, "light-light")


def add_a_syllable(root: Element, rng: Random) -> Found | None:
    notes = plain(root)
    if not notes:
        return None
    note = rng.choice(notes)
    lyric = etree.SubElement(note.element, "lyric", number="4")
    etree.SubElement(lyric, "syllabic").text = "begin"
    etree.SubElement(lyric, "text").text = "har"
    return Found("lyric", note.bar, note.onset, None, "4: har-")


def add_a_chord_symbol(root: Element, rng: Random) -> Found | None:
    place = _first_of(root, rng)
    if place is None:
        return None
    place.element.addprevious(
        etree.fromstring(
            "<harmony><root><root-step>E</root-step><root-alter>-1</root-alter></root>"
            "<kind>suspended-fourth</kind></harmony>"
        )
    )
    return Found("chord symbol", place.bar, place.onset, None, ANY)


EDITS: dict[str, Edit] = {
    "move a note": move_a_note,
    "shorten a note": shorten_a_note,
    "add an articulation": add_an_articulation,
    "remove an articulation": remove_an_articulation,
    "add a fingering": add_a_fingering,
    "add a fermata": add_a_fermata,
    "add a slur": add_a_slur,
    "remove a slur": remove_a_slur,
    "remove a tie": remove_a_tie,
    "add a dynamic": _add("dynamic", "<dynamics><ffff/></dynamics>", "ffff"),
    "add words": _add("words", "<words> like  water </words>", "like water"),
    "add a rehearsal mark": _add("rehearsal mark", "<rehearsal>Q7</rehearsal>", "Q7"),
    "add a tempo": _add(
        "tempo",
        "<metronome><beat-unit>half</beat-unit><beat-unit-dot/><per-minute>41</per-minute>"
        "</metronome>",
        "half. = 41",
    ),
    "add a hairpin": add_a_hairpin,
    "end a hairpin earlier": end_a_hairpin_earlier,
    "add a clef": add_a_clef,
    "add a barline": add_a_barline,
    "add a syllable": add_a_syllable,
    "add a chord symbol": add_a_chord_symbol,
}


def edited(data: bytes, name: str, seed: int) -> tuple[bytes, Found] | None:
    """A score with one edit; None where it has nothing to edit so."""
    root = etree.fromstring(data)
    found = EDITS[name](root, Random(seed))  # noqa: S311 - music, not secrets
    return (etree.tostring(root), found) if found else None
