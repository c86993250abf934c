"""What is in force for a part at a bar: its clef, its key, how it transposes."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.accidentals import AccidentalState
from rewriter.theory.fifths import Interval

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lxml.etree import _Element as Element

    from rewriter.stands.reading import WrittenPart

_LINES: Final = {"G": 4 * 7 + 4, "F": 3 * 7 + 3, "C": 4 * 7}
"""The pitch a clef's sign stands for, in steps from C0."""
_MIDDLE_LINE: Final = 3


class Stand(NamedTuple):
    """What is in force for a part at a bar.

    Attributes:
        middle: the pitch of the staff's middle line, in steps from C0; None without pitches.
        sounds: from written to sounding.
        fifths: key as written.
    """

    middle: int | None
    sounds: Interval
    fifths: int

    @property
    def has_pitches(self) -> bool:
        """True when the clef shows pitches."""
        return self.middle is not None

    def accidentals(self) -> AccidentalState:
        """The state of the staff where the bar begins."""
        return AccidentalState(self.fifths)


class Reading:
    """A part as its cues are read: the bars as they were, and what is in force where."""

    def __init__(self, part: WrittenPart, section: int) -> None:
        """Remember a part.

        Args:
            part: its bars may be changed afterwards.
            section: number of the section it belongs to.
        """
        self.part = part
        self.bars = list(part.bars)
        self.section = section
        self._clefs = sorted({*part.has(b"<clef>"), *part.has(b"<clef ")})
        self._transposes = part.has(b"<transpose")
        self._keys = part.has(b"<fifths>")
        self._trees: dict[int, Element] = {}

    def bar(self, index: int) -> Element:
        """A bar as it was; the tree is shared and not to be changed."""
        if index not in self._trees:
            self._trees[index] = etree.fromstring(self.bars[index])
        return self._trees[index]

    def stand(self, index: int) -> Stand:
        """What is in force at the end of a bar's opening attributes."""
        clef = self._last(self._clefs, "clef", index)
        transpose_by = self._last(self._transposes, "transpose", index)
        key = self._last(self._keys, "key", index)
        return Stand(
            _middle_line(clef),
            _interval(transpose_by),
            whole_number(key.findtext("fifths") if key is not None else None),
        )

    def _last(self, where: Sequence[int], tag: str, index: int) -> Element | None:
        for at in reversed(where[: bisect_right(where, index)]):
            found = [
                element
                for element in self.bar(at).iterfind(f"attributes/{tag}")
                if element.get("number", "1") == "1"
                and (at < index or not _is_behind_music(element))
            ]
            if found:
                return found[-1]
        return None


def _is_behind_music(element: Element) -> bool:
    attributes = element.getparent()
    return attributes is not None and any(
        before.tag in {"note", "forward"} for before in attributes.itersiblings(preceding=True)
    )


def _middle_line(clef: Element | None) -> int | None:
    if clef is None:
        return _LINES["G"] + 2
    sign = (clef.findtext("sign") or "").strip()
    if sign not in _LINES:
        return None
    usual = {"G": 2, "F": 4, "C": 3}[sign]
    line = whole_number(clef.findtext("line")) or usual
    octaves = whole_number(clef.findtext("clef-octave-change"))
    return _LINES[sign] + 2 * (_MIDDLE_LINE - line) + 7 * octaves


def _interval(element: Element | None) -> Interval:
    if element is None:
        return Interval(0, 0)
    octaves = whole_number(element.findtext("octave-change"))
    semitones = whole_number(element.findtext("chromatic"))
    said = element.findtext("diatonic")
    steps = whole_number(said) if said is not None else round(semitones * 7 / 12)
    return Interval(steps + 7 * octaves, semitones + 12 * octaves)


def whole_number(text: str | None) -> int:
    """A number as a whole one; 0 for what is none."""
    try:
        return round(float(text or 0))
    except (ValueError, OverflowError):
        return 0
