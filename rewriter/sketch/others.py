"""What the other parts of the sketch say for everybody, and how long their bars are."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.musicxml.note_reading import serialised
from rewriter.scores.children import element_of
from rewriter.scores.quarters import in_quarters
from rewriter.sketch.directions import read_direction, with_element
from rewriter.sketch.faults import Mended
from rewriter.sketch.mending import mend_sound
from rewriter.sketch.model import Note, Sign
from rewriter.sketch.music import LEFT_ON_THE_PAGE
from rewriter.sketch.said_once import SaidOnce, topics
from rewriter.sketch.sounds import for_strings, scope_of_sound
from rewriter.sketch.tempo_marks import ALONE, speaks_for_all
from rewriter.theory.phrases import are_same

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator
    from fractions import Fraction

    from rewriter.scores.events import Event
    from rewriter.scores.score import Part
    from rewriter.sketch.requests import RawBar
    from rewriter.sketch.said_once import Topic
    from rewriter.sketch.tempo_marks import Around, TempoMarks

_SAYING: Final = frozenset(("direction", "sound"))


class OtherPart:
    """A part of the sketch that is not the tune."""

    def __init__(self, part: Part, divisions: int, marks: TempoMarks) -> None:
        """Take the part, the output's divisions per quarter, and its words of tempo."""
        self._part = part
        self._output = divisions
        self._marks = marks

    def bar_lengths(self, wanted: Collection[int]) -> dict[int, int]:
        """How long some of its bars are, in output divisions, by their indexes."""
        return {
            index: int(bar.end * self._output)
            for index, bar in in_quarters(self._part, wanted).items()
        }

    def signs(self) -> Iterator[tuple[int, Sign | None, tuple[Mended, ...]]]:
        """Tempo, rehearsal marks and the like.

        Yields:
            Index of the bar; the sign in its place, None where it had to be left out; what
            had to be mended for it.
        """
        likely = self._part.saying(b"<direction", b"<sound")
        speaking = {at for at in likely if speaks_for_all(self._part.bars[at])}
        speaking |= {at for at, _ in self._marks.around}
        bars = in_quarters(self._part, speaking, without=LEFT_ON_THE_PAGE)
        for index, bar in bars.items():
            for event in bar.events:
                if event.tag in {"direction", "sound"}:
                    onset = int(bar.onset(event) * self._output)
                    scale = self._output / bar.divisions_at(event.place)
                    around = self._marks.around.get((index, event.place), ALONE)
                    for sign, texts in _signs(event, onset, scale, around):
                        mended = (Mended(text, index, onset, self._part.id) for text in texts)
                        yield index, sign, tuple(mended)


def _signs(
    event: Event, onset: int, scale: Fraction, around: Around
) -> Iterator[tuple[Sign | None, tuple[str, ...]]]:
    if event.tag == "direction":
        parts = read_direction(element_of(event.data), 1, around)
        texts = parts.mended
        for shape in parts.shapes:
            if shape.scope != "line":
                offset = round(shape.detail.offset * scale)
                detail = shape.detail._replace(offset=offset)
                yield Sign(onset, shape.scope, detail.at(0), "direction", detail), texts
                texts = ()
        if texts and not parts.shapes and b"<metronome" in event.data:
            yield None, texts
    elif event.tag == "sound":
        element = element_of(event.data)
        texts = tuple(mend_sound(element))
        sound, _ = for_strings(element, float(scale))
        if sound is not None and scope_of_sound(sound) != "line":
            piece = serialised(sound) + b"\n"
            yield Sign(onset, scope_of_sound(sound), piece, "sound"), texts


def add_signs_of_others(bars: list[RawBar], others: Iterable[OtherPart]) -> list[Mended]:
    """Put what only other parts of the sketch say for everybody among the tune's signs.

    Args:
        bars: of the tune; a bar that gets more is replaced.
        others: parts of the sketch.

    Returns:
        What had to be mended of what was put there, or could not be.
    """
    faults: list[Mended] = []
    for raw in [raw for raw in bars if raw.signs]:
        _without_doubles(raw.items)
    for other in others:
        once = SaidOnce()
        for index, sign, mended in other.signs():
            if index >= len(bars):
                continue
            raw = bars[index]
            left = _still_to_say(sign, raw.items, once) if sign is not None else None
            if left is not None:
                raw.items.append(left)
                bars[index] = raw._replace(sorted=False, signs=True)
            if left is not None or sign is None:
                faults += mended
    return faults


def _without_doubles(items: list[Note | Sign]) -> None:
    """A part of two staves may say the same for everybody at each of them."""
    signs = [item for item in items if isinstance(item, Sign) and item.scope != "line"]
    seen: set[tuple[int, bytes]] = set()
    for sign in signs if len(signs) > 1 else ():
        here = _moment(sign), sign.detail.head if sign.detail else sign.piece
        if here in seen and sign.kind == "direction":
            items[:] = [item for item in items if item is not sign]
        seen.add(here)


def _moment(sign: Sign) -> int:
    """Divisions from the start of the bar that a sign speaks of."""
    return sign.onset + (sign.detail.offset if sign.detail else 0)


def _still_to_say(sign: Sign, items: Iterable[Note | Sign], once: SaidOnce) -> Sign | None:
    """A sign without what the tune's bar says already; None where nothing is left."""
    element = once.left_of(element_of(sign.piece), _Known(items, _moment(sign)).has)
    if element is None or sign.detail is None:
        return None if element is None else sign
    detail = with_element(sign.detail, element)
    return sign._replace(detail=detail, piece=detail.at(0))


class _Known:
    """What the signs of a bar say for everybody, seen from a moment.

    Words are said once in a bar, and so is the same metronome mark; all else once at a moment.
    """

    def __init__(self, items: Iterable[Note | Sign], moment: int) -> None:
        self._bar: list[Topic] = []
        self._now: list[Topic] = []
        for item in items:
            if isinstance(item, Sign) and item.scope != "line" and item.kind in _SAYING:
                found = list(topics(element_of(item.piece)))
                self._bar += found
                self._now += found if _moment(item) == moment else ()

    def has(self, topic: Topic) -> bool:
        """True when it is said."""
        tag, text = topic
        if tag == "words":
            return any(one == tag and are_same(words, text) for one, words in self._bar)
        if tag == "sound":
            measured = text == "tempo" and any(one == "metronome" for one, _ in self._now)
            return measured or topic in self._now
        same = tag == "metronome" and topic in self._bar
        return same or any(one == tag for one, _ in self._now)
