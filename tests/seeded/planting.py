"""Known faults planted into any score as XML, without the package.

A planter yields the places of a part where its fault can be made and would be the only one;
making it changes the tree. Sections are told: parts of a quartet, from the top.
"""

from collections import Counter
from collections.abc import Callable, Iterator
from typing import NamedTuple

from lxml import etree

from tests.outside.reference import Clock, Event, sounding

LOWEST = (55, 55, 48, 36)
"""Lowest open string of violin, violin, viola, cello, by sound; they are tuned in fifths."""
FIFTH = 7
# Johnstone, Instruments of the Modern Symphony Orchestra (1917): the series of a string, in
# semitones above it, as touched and as sounding; up to its eighth partial.
NODES = {0, 3, 4, 5, 7, 9, 12, 14, 15, 16, 19, 22, 24, 26, 27, 28, 31, 34, 36}
STEPS = "CDEFGAB"
SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
SHARPS, FLATS = "FCGDAEB", "BEADGCF"
WRONG = {"sharp": "flat", "flat": "sharp", "natural": "sharp"}


class Place(NamedTuple):
    """Where a fault can be made, and how.

    Attributes:
        bar: at which it is found, counted from 0.
        make: changes the tree.
    """

    bar: int
    make: Callable[[], None]


class Music:
    """A part of a score with what planters ask of its bars."""

    def __init__(self, part: etree._Element, lowest: int) -> None:
        self.lowest = lowest
        self.bars = part.findall("measure")
        clock = Clock()
        self.events: list[list[Event]] = [list(clock.events(bar)) for bar in self.bars]
        self.fifths = list(self._fifths())

    def _fifths(self) -> Iterator[int]:
        fifths = 0
        for bar in self.bars:
            for said in bar.iter("fifths"):
                fifths = int(said.text or 0)
            yield fifths

    def notes(self, bar: int) -> list[Event]:
        """Pitched notes that take time, chords too."""
        return [
            one
            for one in self.events[bar]
            if one.element.tag == "note" and one.length and sounding(one) is not None
        ]

    def plain(self) -> Iterator[tuple[int, Event]]:
        """Notes alone at their time in bars of one voice, neither tied nor at a slur's end."""
        for bar in range(1, len(self.bars) - 1):
            notes = self.notes(bar)
            voices = {one.voice for one in self.events[bar] if one.element.tag == "note"}
            times = Counter(one.onset for one in notes)
            for one in notes:
                bare = not one.element.xpath("tie|grace|cue|notations/slur|notations/tied")
                if len(voices) == 1 and times[one.onset] == 1 and bare:
                    yield bar, one

    def near(self, bar: int) -> list[etree._Element]:
        """A bar and its neighbours."""
        return self.bars[max(bar - 1, 0) : bar + 2]

    def goes_on(self, bar: int) -> bool:
        """True where nobody jumps, near a bar, to another."""
        return not any(one.xpath("barline|.//segno|.//coda") for one in self.near(bar))

    def alone(self, bar: int, step: str) -> bool:
        """True where a step stands once in a bar at the most, at whatever octave."""
        return sum(one.element.findtext("pitch/step") == step for one in self.notes(bar)) <= 1


def wrong_sign(music: Music) -> Iterator[Place]:
    """Another sign printed before a note of a step that the bar has once."""
    for bar, one in music.plain():
        sign = one.element.find("accidental")
        plain = sign is not None and not sign.attrib and sign.text in WRONG
        if plain and music.alone(bar, one.element.findtext("pitch/step", "")):
            yield Place(bar, lambda sign=sign: setattr(sign, "text", WRONG[sign.text]))


def short_bar(music: Music) -> Iterator[Place]:
    """The rest at the end of a bar taken away."""
    for bar in range(2, len(music.bars) - 2):
        *_, last = [None, *(one for one in music.events[bar][:-1] if one.length)]
        ends = last is not None and last.onset + last.length == music.events[bar][-1].onset
        signs = any(one.xpath("attributes/time|.//fermata|backup") for one in music.near(bar))
        if ends and not signs and music.notes(bar) and music.goes_on(bar):
            rest = last.element.find("rest")
            if (
                rest is not None
                and not rest.attrib
                and not last.element.xpath("time-modification")
            ):
                yield Place(bar, lambda gone=last.element: gone.getparent().remove(gone))


def open_tie(music: Music) -> Iterator[Place]:
    """A tie from a note to which no note of its pitch is near."""
    for bar, one in music.plain():
        near = [sounding(n) for at in (bar - 1, bar, bar + 1) for n in music.notes(at)]
        later = any(other.onset > one.onset for other in music.notes(bar))
        if later and near.count(sounding(one)) == 1 and music.goes_on(bar):
            yield Place(bar, lambda note=one.element: _tie(note))


def _tie(note: etree._Element) -> None:
    note.find("duration").addnext(etree.Element("tie", type="start"))
    _notations(note).insert(0, etree.Element("tied", type="start"))


def _notations(note: etree._Element) -> etree._Element:
    found = note.find("notations")
    if found is not None:
        return found
    made = etree.Element("notations")
    before = note.xpath("lyric|play|listen")
    if before:
        before[0].addprevious(made)
    else:
        note.append(made)
    return made


def open_slur(music: Music) -> Iterator[Place]:
    """The end of a slur taken away that begins in the same bar, and no other is there."""
    for bar, element in enumerate(music.bars):
        slurs = element.findall(".//slur")
        around = sum(len(one.findall(".//slur")) for one in music.near(bar))
        kinds = [slur.get("type") for slur in slurs]
        if kinds == ["start", "stop"] and around == len(slurs) and music.goes_on(bar):
            yield Place(bar, lambda slur=slurs[1]: _take_out(slur))


def _take_out(mark: etree._Element) -> None:
    notations = mark.getparent()
    notations.remove(mark)
    if not len(notations):
        notations.getparent().remove(notations)


def too_low(music: Music) -> Iterator[Place]:
    """A note an octave down, below the lowest string."""
    for bar, one in music.plain():
        midi = sounding(one) or 0
        low = music.lowest <= midi < music.lowest + 12
        if low and music.alone(bar, one.element.findtext("pitch/step", "")):
            yield Place(bar, lambda note=one.element: _lower(note))


def _lower(note: etree._Element) -> None:
    octave = note.find("pitch/octave")
    octave.text = str(int(octave.text) - 1)


def no_node(music: Music) -> Iterator[Place]:
    """A harmonic where no string has one."""
    strings = [music.lowest + FIFTH * number for number in range(4)]
    for bar, one in music.plain():
        midi = sounding(one) or 0
        if all(midi - string not in NODES for string in strings):
            yield Place(bar, lambda note=one.element: _harmonic(note))


def _harmonic(note: etree._Element) -> None:
    notations = _notations(note)
    technical = notations.find("technical")
    if technical is None:
        technical = etree.SubElement(notations, "technical")
    etree.SubElement(technical, "harmonic")


def one_string(music: Music) -> Iterator[Place]:
    """A third above a note of which both lie on the lowest string only."""
    for bar, one in music.plain():
        step, octave = (one.element.findtext(f"pitch/{tag}", "") for tag in ("step", "octave"))
        at = STEPS.index(step) + 2
        third, up = STEPS[at % 7], at // 7
        alter = _altered(third, music.fifths[bar])
        low = sounding(one) or 0
        own = float(one.element.findtext("pitch/alter", "0"))
        high = low + SEMITONES[third] + 12 * up + alter - SEMITONES[step] - own
        new = all(n.element.findtext("pitch/step") != third for n in music.notes(bar))
        if new and music.lowest < low < high < music.lowest + FIFTH:
            yield Place(bar, lambda a=(one.element, third, alter, int(octave) + up): _chord(*a))


def _altered(step: str, fifths: int) -> int:
    if fifths > 0:
        return int(step in SHARPS[:fifths])
    return -int(step in FLATS[:-fifths])


def _chord(note: etree._Element, step: str, alter: int, octave: int) -> None:
    said = f"<alter>{alter}</alter>" if alter else ""
    pitch = f"<pitch><step>{step}</step>{said}<octave>{octave}</octave></pitch>"
    other = etree.fromstring(f"<note><chord/>{pitch}</note>")
    for tag in ("duration", "voice", "type", "dot", "time-modification", "staff"):
        other.extend(etree.fromstring(etree.tostring(one)) for one in note.findall(tag))
    note.addnext(other)


def other_metre(music: Music) -> Iterator[Place]:
    """A change of metre that this part has not."""
    for bar, element in enumerate(music.bars[1:], start=1):
        for time in element.findall("attributes/time"):
            yield Place(bar, lambda gone=time: gone.getparent().remove(gone))


def untold_entry(music: Music) -> Iterator[Place]:
    """The dynamics of a bar behind four bars' rest taken away."""
    for bar in range(4, len(music.bars)):
        rested = not any(music.notes(at) for at in range(bar - 4, bar))
        told = music.bars[bar].xpath("direction[direction-type/dynamics]")
        others = music.bars[bar].xpath(".//wedge|.//words|note//dynamics")
        before = any(
            at.xpath(".//dynamics|.//wedge|.//words") for at in music.bars[bar - 4 : bar]
        )
        if rested and told and music.notes(bar) and not others and not before:
            yield Place(bar, lambda gone=told: [one.getparent().remove(one) for one in gone])


PLANTERS: dict[str, tuple[Callable[[Music], Iterator[Place]], str]] = {
    "wrong sign": (wrong_sign, "accidental-differs"),
    "short bar": (short_bar, "bar-length"),
    "open tie": (open_tie, "open-tie"),
    "open slur": (open_slur, "open-span"),
    "too low": (too_low, "below-lowest-string"),
    "no node": (no_node, "not-a-node"),
    "one string": (one_string, "unplayable-chord"),
    "other metre": (other_metre, "parts-disagree"),
    "untold entry": (untold_entry, "entry-without-dynamic"),
}
"""What plants a fault, and the rule that finds it."""
