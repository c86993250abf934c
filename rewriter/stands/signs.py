"""What stands once for the whole score, put into every part that is taken out of it.

The score prints tempo and rehearsal marks on its top part alone; some programs write the jumps
of segno and coda there alone too. On the stands everybody needs them. A part that says the same
in the same bar already is left as it is.
"""

from __future__ import annotations

import re
from copy import deepcopy
from fractions import Fraction
from math import lcm
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.note_reading import serialised
from rewriter.scores.score import Part
from rewriter.sketch.directions import read_direction
from rewriter.sketch.others import OtherPart
from rewriter.stands.time import number_text, placed

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from lxml.etree import _Element as Element

    from rewriter.stands.reading import WrittenPart

_SPEAKS: Final = re.compile(
    rb'<metronome|<rehearsal|<segno|<coda|<direction[^>]* (?:directive="yes"|system=)'
    rb"|<sound[^>]* (?:tempo|dacapo|dalsegno|segno|coda|tocoda|fine)="
)
_JUMPS: Final = re.compile(rb"<segno|<coda|<sound[^>]* (?:dacapo|dalsegno|tocoda|fine)=")
_WHERE_IT_STOOD: Final = ("id", "default-x", "relative-x")


class ScoreSign(NamedTuple):
    """A sign for the whole score.

    Attributes:
        bar: index.
        onset: quarters from the start of the bar.
        element: ``<direction>`` or ``<sound>``, without an offset.
        says: what it says, sign by sign.
    """

    bar: int
    onset: Fraction
    element: Element
    says: frozenset[tuple[str, str]]


def spread_signs(parts: Sequence[WrittenPart], targets: Iterable[WrittenPart]) -> None:
    """Put the signs for the whole score into parts.

    Args:
        parts: all parts of the score; any of them may have such signs.
        targets: those that get them; their bars are changed.
    """
    output = lcm(*(value.numerator for part in parts for value in part.all_divisions))
    found: dict[WrittenPart, list[ScoreSign]] = {}
    for part in parts:
        found[part] = list(_signs_of(part, output))
    for target in targets:
        by_bar: dict[int, list[ScoreSign]] = {}
        for part, signs in found.items():
            if part is not target:
                for sign in signs:
                    by_bar.setdefault(sign.bar, []).append(sign)
        for index, signs in by_bar.items():
            if index < len(target.bars):
                _put_into(target, index, signs)


def _signs_of(part: WrittenPart, output: int) -> Iterator[ScoreSign]:
    speaking = {
        index
        for index, bar in enumerate(part.bars)
        if (b"<direction" in bar or b"<sound" in bar) and _SPEAKS.search(bar)
    }
    if not speaking:
        return
    skeleton = etree.Element("part")
    for index, bar in enumerate(part.bars):
        read = index in speaking or b"<divisions>" in bar
        skeleton.append(part.bar(index) if read else etree.Element("measure"))
    measures = list(skeleton)
    jumps = [
        jump
        for index in sorted(speaking)
        if _JUMPS.search(part.bars[index])
        for jump in _jumps(index, measures[index], part.divisions_before(index))
    ]
    for index, sign in OtherPart(
        Part("", None, [serialised(bar) for bar in skeleton]), output
    ).signs():
        offset = sign.detail.offset if sign.detail is not None else 0
        data = sign.detail.head + sign.detail.tail if sign.detail is not None else sign.piece
        yield _score_sign(index, Fraction(sign.onset + offset, output), data)
    yield from jumps


def _jumps(index: int, measure: Element, divisions: Fraction) -> Iterator[ScoreSign]:
    """Segno, coda and the words that jump to them; the bar is not changed."""
    for element, onset, _, now in placed(measure, divisions):
        if element.tag == "direction":
            copy = etree.fromstring(serialised(element))
            for shape in read_direction(copy, 1).shapes:
                if shape.scope == "every":
                    data = shape.detail.head + shape.detail.tail
                    yield _score_sign(index, onset + shape.detail.offset / now, data)


def _score_sign(index: int, onset: Fraction, data: bytes) -> ScoreSign:
    element = etree.fromstring(data)
    for inner in element.iter():
        for key in _WHERE_IT_STOOD:
            inner.attrib.pop(key, None)
    return ScoreSign(index, onset, element, frozenset(_said(element)))


def _put_into(target: WrittenPart, index: int, signs: Iterable[ScoreSign]) -> None:
    measure = target.bar(index)
    said = set(_said(measure))
    changed = False
    for sign in signs:
        element = _still_to_say(sign, said)
        if element is not None:
            said.update(sign.says)
            _insert(measure, target.divisions_before(index), sign.onset, element)
            changed = True
    if changed:
        target.bars[index] = serialised(measure)


def _said(within: Element) -> Iterator[tuple[str, str]]:
    for holder in within.iter("direction-type"):  # itself, too
        for sign in holder:
            text = "".join(str(piece) for piece in sign.itertext())
            yield str(sign.tag), " ".join(text.split()).lower()
    for sound in within.iter("sound"):
        if sound.get("tempo") is not None:
            yield "sound", "tempo"


def _still_to_say(sign: ScoreSign, said: set[tuple[str, str]]) -> Element | None:
    """A copy without what the bar says already; None where nothing is left."""
    if said.isdisjoint(sign.says):
        return deepcopy(sign.element)
    if sign.element.tag == "sound":
        return None
    left = deepcopy(sign.element)
    for holder in left.findall("direction-type"):
        if said.issuperset(_said(holder)):
            left.remove(holder)
    return left if left.find("direction-type") is not None else None


def _insert(measure: Element, divisions: Fraction, onset: Fraction, element: Element) -> None:
    """Put a sign where the first line of a bar reaches its onset, offset within a note."""
    if onset <= 0:
        measure.insert(_start_of_music(measure), element)
        return
    after = 0
    stands = Fraction(0)
    now = divisions
    for place, (child, begins, length, now) in enumerate(placed(measure, divisions)):  # noqa: B007 - read below
        if child.tag == "backup" or _ends_bar(child):
            break
        after = place + 1
        if child.tag not in {"note", "forward"}:
            continue
        if begins >= onset or begins + length > onset:
            after, stands = place, begins
            break
        stands = begins + length
    if onset != stands:
        _offset(element, (onset - stands) * now)
    measure.insert(after, element)


def _start_of_music(measure: Element) -> int:
    for place, child in enumerate(measure):
        if child.tag in {"note", "forward", "backup"} or _ends_bar(child):
            return place
    return len(measure)


def _ends_bar(child: Element) -> bool:
    return child.tag == "barline" and child.get("location", "right") == "right"


def _offset(element: Element, distance: Fraction) -> None:
    offset = etree.Element("offset")
    offset.text = number_text(distance)
    if element.tag == "sound":
        element.append(offset)
        return
    if element.find("sound") is not None:
        offset.set("sound", "yes")
    element.insert(len(element.findall("direction-type")), offset)
