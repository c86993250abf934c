"""What stands once for the whole score, put into every part that is taken out of it.

The score prints tempo and rehearsal marks on its top part alone; some programs write the jumps
of segno and coda there alone too. On the stands everybody needs them. A part that says the same
in the same bar already is left as it is.
"""

from __future__ import annotations

import re
from copy import deepcopy
from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.note_reading import POSITIONS, serialised
from rewriter.scores.children import element_of
from rewriter.scores.quarters import in_quarters
from rewriter.sketch.directions import read_direction
from rewriter.sketch.sounds import for_strings, scope_of_sound
from rewriter.stands.durations import number_text

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from lxml.etree import _Element as Element

    from rewriter.scores.events import Event
    from rewriter.scores.quarters import BarInQuarters
    from rewriter.stands.copying import PartCopy

_SPEAKS: Final = re.compile(
    rb'<metronome|<rehearsal|<segno|<coda|<direction[^>]* (?:directive="yes"|system="(?!none"))'
    rb"|<sound[^>]* (?:tempo|dacapo|dalsegno|segno|coda|tocoda|fine)="
)
_WHERE_IT_STOOD: Final = (*POSITIONS, "color", "id")


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


def spread_signs(parts: Sequence[PartCopy], targets: Iterable[PartCopy]) -> None:
    """Put the signs for the whole score into parts.

    Args:
        parts: all parts of the score; any of them may have such signs.
        targets: those of them that get them; their bars are changed.
    """
    found = [(part, list(_signs_of(part))) for part in parts]
    for target in targets:
        by_bar: dict[int, list[ScoreSign]] = {}
        for part, signs in found:
            if part is not target:
                for sign in signs:
                    by_bar.setdefault(sign.bar, []).append(sign)
        in_time = in_quarters(target, by_bar)
        for index, signs in by_bar.items():
            if index < len(target.bars):
                _put_into(target, index, in_time[index], signs)


def _signs_of(part: PartCopy) -> Iterator[ScoreSign]:
    speaking = [
        index
        for index, bar in enumerate(part.bars)
        if (b"<direction" in bar or b"<sound" in bar) and _SPEAKS.search(bar)
    ]
    for index, bar in in_quarters(part, speaking).items():
        signs = [event for event in bar.events if event.tag in _SIGNS]
        if not any(_SPEAKS.search(event.data) for event in signs):
            continue  # it was a barline's
        for event in signs:
            for element, offset in _SIGNS[event.tag](event.data):
                onset = bar.onset(event) + offset / bar.divisions_at(event.place)
                yield ScoreSign(index, onset, element, frozenset(_said(element)))


def _of_direction(data: bytes) -> Iterator[tuple[Element, Fraction]]:
    """What a direction says for the score or every part, and its offset in divisions."""
    direction = element_of(data)
    etree.strip_attributes(direction, *_WHERE_IT_STOOD)
    for shape in read_direction(direction, 1).shapes:
        if shape.scope != "line":
            written = element_of(shape.detail.head + shape.detail.tail)
            yield written, Fraction(shape.detail.offset)


def _of_sound(data: bytes) -> Iterator[tuple[Element, Fraction]]:
    """The same of a sound that stands in no direction."""
    sound, _ = for_strings(element_of(data), 1)
    if sound is not None and scope_of_sound(sound) != "line":
        offset = sound.find("offset")
        if offset is not None:
            sound.remove(offset)
        etree.strip_attributes(sound, "id")
        yield sound, Fraction(offset.text or 0) if offset is not None else Fraction(0)


_SIGNS: Final = {"direction": _of_direction, "sound": _of_sound}


def _put_into(
    target: PartCopy, index: int, bar: BarInQuarters, signs: Iterable[ScoreSign]
) -> None:
    measure = target.tree(index)
    children = list(measure)  # by their places; what is put in does not count
    said = set(_said(measure))
    changed = False
    for sign in signs:
        element = _still_to_say(sign, said)
        if element is None:
            continue
        said.update(sign.says)
        place, distance = _place(bar, sign.onset)
        if distance:
            _offset(element, distance)
        if place < len(children):
            children[place].addprevious(element)
        else:
            measure.append(element)
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


def _place(bar: BarInQuarters, onset: Fraction) -> tuple[int, Fraction]:
    """Where the first line of a bar reaches an onset; the distance from there, in divisions."""
    if onset <= 0:
        return _start_of_music(bar), Fraction(0)
    after = 0
    stands = Fraction(0)
    divisions = bar.divisions_at(0)
    for event in bar.events:
        divisions = bar.divisions_at(event.place)
        if event.tag == "backup" or _ends_bar(event):
            break
        after = event.place + 1
        if event.tag not in {"note", "forward"}:
            continue
        begins = bar.onset(event)
        ends = begins + bar.length(event)
        if begins >= onset or ends > onset:
            after, stands = event.place, begins
            break
        stands = ends
    return after, (onset - stands) * divisions


def _start_of_music(bar: BarInQuarters) -> int:
    for event in bar.events:
        if event.tag in {"note", "forward", "backup"} or _ends_bar(event):
            return event.place
    return len(bar.events)


def _ends_bar(event: Event) -> bool:
    if event.tag != "barline":
        return False
    return element_of(event.data).get("location", "right") == "right"


def _offset(element: Element, distance: Fraction) -> None:
    offset = etree.Element("offset")
    offset.text = number_text(distance)
    if element.tag == "sound":
        element.append(offset)
        return
    if element.find("sound") is not None:
        offset.set("sound", "yes")
    element.insert(len(element.findall("direction-type")), offset)
