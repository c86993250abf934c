"""What stands once for the whole score, put into every part that is taken out of it.

The score prints tempo and rehearsal marks on its top part alone; some programs write the jumps
of segno and coda there alone too. On the stands everybody needs them. A part that says the same
in the same bar already is left as it is.
"""

from __future__ import annotations

from copy import deepcopy
from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.note_reading import POSITIONS, serialised
from rewriter.scores.children import element_of
from rewriter.scores.quarters import in_quarters
from rewriter.sketch.directions import read_direction
from rewriter.sketch.said_once import SaidOnce, topics
from rewriter.sketch.sounds import for_strings, scope_of_sound
from rewriter.sketch.tempo_marks import ALONE, Measures, speaks_for_all, tempo_marks
from rewriter.stands.durations import number_text

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from lxml.etree import _Element as Element

    from rewriter.scores.events import Event
    from rewriter.scores.quarters import BarInQuarters
    from rewriter.sketch.said_once import Topic
    from rewriter.sketch.tempo_marks import Around, TempoMarks
    from rewriter.stands.copying import PartCopy

_WHERE_IT_STOOD: Final = (*POSITIONS, "color", "id")


class ScoreSign(NamedTuple):
    """A sign for the whole score.

    Attributes:
        source: the part it stands in, counted from the top.
        onset: quarters from the start of the bar.
        element: ``<direction>`` or ``<sound>``, without an offset.
    """

    source: int
    onset: Fraction
    element: Element


def spread_signs(parts: Sequence[PartCopy], targets: Iterable[PartCopy]) -> None:
    """Put the signs for the whole score into parts.

    Args:
        parts: all parts of the score; any of them may have such signs.
        targets: those of them that get them; their bars are changed.
    """
    measures = Measures(parts)
    found = [
        _signs_of(place, part, tempo_marks(part, measures)) for place, part in enumerate(parts)
    ]
    for target in targets:
        by_bar: dict[int, list[ScoreSign]] = {}
        for part, signs in zip(parts, found, strict=True):
            if part is not target:
                for index, own in signs.items():
                    by_bar.setdefault(index, []).extend(own)
        in_time = in_quarters(target, by_bar)
        spread = _Spread()
        for index in sorted(by_bar):
            if index < len(target.bars):
                spread.put_into(target, index, in_time[index], by_bar[index])


def _signs_of(source: int, part: PartCopy, marks: TempoMarks) -> dict[int, list[ScoreSign]]:
    """By bar, what a part says for the score or every part."""
    speaking = {at for at, bar in enumerate(part.bars) if speaks_for_all(bar)}
    speaking |= {at for at, _ in marks.around}
    found: dict[int, list[ScoreSign]] = {}
    for index, bar in in_quarters(part, speaking).items():
        for event in bar.events:
            if event.tag not in _SIGNS:
                continue
            around = marks.around.get((index, event.place), ALONE)
            for element, offset in _SIGNS[event.tag](event.data, around):
                onset = bar.onset(event) + offset / bar.divisions_at(event.place)
                found.setdefault(index, []).append(ScoreSign(source, onset, element))
    return found


def _of_direction(data: bytes, around: Around) -> Iterator[tuple[Element, Fraction]]:
    """What a direction says for the score or every part, and its offset in divisions."""
    direction = element_of(data)
    etree.strip_attributes(direction, *_WHERE_IT_STOOD)
    for shape in read_direction(direction, 1, around).shapes:
        if shape.scope != "line":
            written = element_of(shape.detail.head + shape.detail.tail)
            yield written, Fraction(shape.detail.offset)


def _of_sound(data: bytes, around: Around) -> Iterator[tuple[Element, Fraction]]:
    """The same of a sound that stands in no direction."""
    del around
    sound, _ = for_strings(element_of(data), 1)
    if sound is not None and scope_of_sound(sound) != "line":
        offset = sound.find("offset")
        if offset is not None:
            sound.remove(offset)
        etree.strip_attributes(sound, "id")
        yield sound, Fraction(offset.text or 0) if offset is not None else Fraction(0)


_SIGNS: Final = {"direction": _of_direction, "sound": _of_sound}


class _Spread:
    """Puts signs into one part, bar after bar."""

    def __init__(self) -> None:
        self._once: dict[int, SaidOnce] = {}

    def put_into(
        self, target: PartCopy, index: int, bar: BarInQuarters, signs: Iterable[ScoreSign]
    ) -> None:
        """Put what a bar does not say yet into it, each sign at its place."""
        measure = target.tree(index)
        children = list(measure)  # by their places; what is put in does not count
        own = set(topics(measure))
        put: list[tuple[ScoreSign, set[Topic]]] = []
        for sign in signs:
            others = (says for one, says in put if not _is_another_moment(one, sign))
            said = own.union(*others)
            once = self._once.setdefault(sign.source, SaidOnce())
            element = once.left_of(deepcopy(sign.element), said.__contains__)
            if element is None:
                continue
            put.append((sign, set(topics(element))))
            place, distance = _place(bar, sign.onset)
            if distance:
                _offset(element, distance)
            if place < len(children):
                children[place].addprevious(element)
            else:
                measure.append(element)
        if put:
            target.bars[index] = serialised(measure)


def _is_another_moment(one: ScoreSign, sign: ScoreSign) -> bool:
    """True for signs of the same part at two moments, where the same may be said again."""
    return one.source == sign.source and one.onset != sign.onset


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
