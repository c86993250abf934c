"""A section with two staves: two parts in the score, one page on the stand."""

from __future__ import annotations

import re
from copy import deepcopy
from typing import TYPE_CHECKING, Final

from lxml import etree

from rewriter.musicxml.escaping import word
from rewriter.musicxml.note_reading import serialised
from rewriter.musicxml.schema_order import place, successors
from rewriter.scores.quarters import in_quarters
from rewriter.stands.copying import PartCopy
from rewriter.stands.durations import move
from rewriter.stands.rests import opening_attributes
from rewriter.stands.unused_staff import show_second_staff, shown_and_hidden
from rewriter.theory.numbers import whole

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from fractions import Fraction

    from lxml.etree import _Element as Element

    from rewriter.scores.quarters import BarInQuarters
    from rewriter.scores.score import Part, Score

_SECOND: Final = re.compile(r"(?P<stem>.*?)[ ,]*\(?(?:2|div\.?)\)?", re.IGNORECASE)
_OF_A_STAFF: Final = frozenset(("clef", "staff-details"))
_NUMBERED: Final = (
    "slur", "glissando", "slide", "wavy-line", "wedge", "dashes", "bracket",
    "octave-shift", "pedal", "hammer-on", "pull-off",
)  # fmt: skip
_MOST_LEVELS: Final = 16
_ON_A_STAFF: Final = frozenset(("note", "direction", "harmony", "forward"))
_FOR_ALL: Final = frozenset(("rehearsal", "metronome", "segno", "coda"))


def parts_of_sections(score: Score, parts: Sequence[PartCopy]) -> list[list[PartCopy]]:
    """The parts of a score by section: one each, or two where it has two staves.

    Two parts that follow each other are one section when they are the same instrument and the
    second says it is the first one's other line: it has the same name, and its id is the first
    one's with ``b`` behind it or the name is not printed; or its name is the first one's with
    ``2`` or ``div.`` behind it, and that does not make it the second violins.

    Args:
        score: they are copied from.
        parts: in score order.
    """
    sections: list[list[PartCopy]] = []
    for at, part in enumerate(parts):
        if (
            sections
            and len(sections[-1]) == 1
            and _is_other_line(sections[-1][0], part)
            and (score.own or _is_same_section(score, at - 1, at))
        ):
            sections[-1].append(part)
        else:
            sections.append([part])
    return sections


def _is_other_line(one: PartCopy, other: PartCopy) -> bool:
    first, second = one.of, other.of
    if not first.sound or first.sound != second.sound or len(first.bars) != len(second.bars):
        return False
    match = _SECOND.fullmatch(second.name)
    names = {match["stem"] if match else ""}
    if second.id == f"{first.id}b" or _is_unprinted(second):
        names.add(second.name)
    return first.name in names and _divisions(one) == _divisions(other)


def _is_same_section(score: Score, first: int, second: int) -> bool:
    from rewriter.hearing.sections import sections_of
    from rewriter.rulefiles.loading import load_ensemble

    players = sections_of(score, load_ensemble())
    return players[first].sections == players[second].sections


def _is_unprinted(part: Part) -> bool:
    name = part.entry.find("part-name")
    return name is not None and name.get("print-object") == "no"


def _divisions(part: PartCopy) -> list[tuple[int, Fraction]]:
    """The bars that say divisions of a quarter, and what is in force behind each."""
    said = in_quarters(part, part.having(b"<divisions"))
    return [(index, bar.divisions) for index, bar in said.items()]


def on_two_staves(parts: Sequence[PartCopy]) -> PartCopy:
    """One part out of the parts of a section.

    Args:
        parts: one, which is given back, or two: the upper staff and the lower.
    """
    if len(parts) == 1:
        return parts[0]
    upper, lower = parts
    levels = {tag: _highest_level(upper.bars, tag) for tag in _NUMBERED}
    above, below = (in_quarters(part, range(len(part.bars))) for part in parts)
    changes = shown_and_hidden(upper, lower)
    bars = []
    for index in range(len(upper.bars)):
        joined = _joined(
            upper.tree(index),
            _lower_staff(lower.tree(index), levels),
            above[index],
            below[index].left_off,
        )
        if index == 0:
            _open_two_staves(joined)
        if index in changes:
            show_second_staff(joined, shown=changes[index], at_break=index > 0)
        bars.append(serialised(joined))
    return PartCopy(upper.of, bars)


def _highest_level(bars: Iterable[bytes], tag: str) -> int:
    pattern = re.compile(rb"<%b[^>]* number=\"(\d+)\"" % word(tag))
    found = {whole(number.decode()) for bar in bars for number in pattern.findall(bar)}
    return max(filter(None, found), default=1)


def _lower_staff(measure: Element, levels: dict[str, int]) -> Element:
    """A bar as the lower staff has it: without what stands once, numbered apart."""
    for child in list(measure):
        if child.tag in {"barline", "print", "sound"} or _is_for_all(child):
            measure.remove(child)
        elif child.tag == "attributes":
            _for_staff(child, "2")
            if len(child) == 0:
                measure.remove(child)
    for element in measure.iter(*_NUMBERED):
        number = (whole(element.get("number", "")) or 1) + levels[str(element.tag)]
        element.set("number", str((number - 1) % _MOST_LEVELS + 1))
    return measure


def _is_for_all(child: Element) -> bool:
    """True for what stands above the upper staff already; other words stay."""
    if child.tag != "direction":
        return False
    for holder in child.findall("direction-type"):
        if any(sign.tag in _FOR_ALL for sign in holder):
            child.remove(holder)
    sound = child.find("sound")
    if sound is not None and sound.get("pizzicato") is None:
        child.remove(sound)
    return child.find("direction-type") is None


def _for_staff(attributes: Element, staff: str) -> None:
    for child in list(attributes):
        if child.tag in _OF_A_STAFF:
            child.set("number", staff)
        else:
            attributes.remove(child)


def _joined(upper: Element, lower: Element, above: BarInQuarters, reached: Fraction) -> Element:
    """The upper bar, back to its beginning, then the lower one.

    Args:
        upper: is changed, and given back.
        lower: its children go into the upper one.
        above: the upper one in time.
        reached: quarters from the start of the bar to where the lower one leaves off.
    """
    voices: dict[str, str] = {}
    for child in upper:
        if child.tag == "attributes":
            for clef in child:
                if clef.tag in _OF_A_STAFF:
                    clef.set("number", "1")
        else:
            _set_staff(child, "1")
            voices.setdefault(child.findtext("voice") or "", "")
    _renumber(lower, set(voices))
    end = above.left_off
    barlines = [b for b in upper.findall("barline") if b.get("location", "right") == "right"]
    added = [*lower]
    if end:
        added.insert(0, move("backup", end, above.divisions))
    if end > reached:
        added.append(move("forward", end - reached, above.divisions))
    at = upper.index(barlines[-1]) if barlines else len(upper)
    upper[at:at] = added
    return upper


def _renumber(lower: Element, taken: set[str]) -> None:
    """Voices of the lower staff, numbered from 5 as keyboard staves are."""
    names: dict[str, str] = {}
    for child in lower:
        _set_staff(child, "2")
        voice = child.find("voice")
        if child.tag == "note" and voice is None:
            continue
        if voice is not None:
            names.setdefault(voice.text or "", _free(names, taken))
            voice.text = names[voice.text or ""]


def _free(names: dict[str, str], taken: set[str]) -> str:
    used = taken | set(names.values())
    return next(str(number) for number in range(5, 999) if str(number) not in used)


def _set_staff(child: Element, staff: str) -> None:
    if str(child.tag) not in _ON_A_STAFF:
        return
    behind = successors(str(child.tag), "staff")
    element = child.find("staff")
    if element is None:
        element = etree.Element("staff")
        following = [other for other in child if other.tag in behind]
        if following:
            following[0].addprevious(element)
        else:
            child.append(element)
    element.text = staff


def _open_two_staves(measure: Element) -> None:
    """The first bar says that there are two staves, and both clefs at once."""
    opening = opening_attributes(measure)
    for other in measure.findall("attributes"):
        if other is not opening and all(child.tag in _OF_A_STAFF for child in other):
            for child in list(other):
                if child.get("number") == "2":
                    _insert_in_order(opening, child)
            if len(other) == 0:
                measure.remove(other)
    staves = etree.Element("staves")
    staves.text = "2"
    _insert_in_order(opening, staves)
    symbol = etree.Element("part-symbol")
    symbol.text = "bracket"  # a brace is a keyboard's
    _insert_in_order(opening, symbol)


def _insert_in_order(attributes: Element, child: Element) -> None:
    rank = place("attributes", str(child.tag))
    before = sum(place("attributes", str(other.tag)) <= rank for other in attributes)
    attributes.insert(before, deepcopy(child))
    parent = child.getparent()
    if parent is not None and parent is not attributes:
        parent.remove(child)
