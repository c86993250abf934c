"""The frame of a part: bars, barlines, keys and metres, made sounding and concert pitch."""

from __future__ import annotations

from copy import deepcopy
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.accidentals import key_alterations
from rewriter.musicxml.note_reading import serialised
from rewriter.problems import Refused
from rewriter.sketch.model import FrameBar
from rewriter.theory.fifths import Interval, kept_within_seven, transpose
from rewriter.theory.metre import Metre, metre_from_times
from rewriter.theory.pitch import Pitch

if TYPE_CHECKING:
    from collections.abc import Iterable

    from lxml.etree import _Element as Element

COMMON_TIME: Final = metre_from_times([("4", "4")])
UNISON: Final = Interval(0, 0)
FURTHEST: Final = 60
"""Semitones, steps or octaves: a transposition beyond is a damaged file."""

MOST_FIFTHS: Final = 11
"""Keys beyond seven are theory, beyond eleven a damaged file."""

_OF_THE_STAFF: Final = {
    "clef": "clefs", "staff-details": "staff details", "staves": "", "part-symbol": "",
    "instruments": "", "for-part": "", "transpose": "", "divisions": "",
}  # fmt: skip
_OF_THE_PAGE: Final = frozenset(("width", "id"))
_BEFORE_CLEF: Final = frozenset(("footnote", "level", "key", "time"))
_STEPS_OF_SEMITONES: Final = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)


class FrameReader:
    """Keeps what is in force while a part is read: divisions, key, metre, transposition.

    Attributes:
        scale: output divisions for one division of the sketch, just now.
        metre: in force.
        fifths: key in force, sounding.
        alterations: what the key does to each letter.
        interval: from written to sounding, and on to the key asked for.
        dropped: kinds left behind, counted.
        key_seen: True from the first key on; without one, nothing has a signature.
        key: the ``<key>`` in force, as bytes; empty before the first.
        mode: its ``<mode>``, empty where it has none.
    """

    def __init__(self, staff: str, divisions: int, by: Interval) -> None:
        self._staff = staff
        self._divisions = divisions
        self._by = by
        self._written_fifths = 0
        self._bars = 0
        self._transposition = UNISON
        self.scale = divisions
        self.metre: Metre = COMMON_TIME
        self.fifths = 0
        self.alterations = key_alterations(0)
        self.interval = by
        self.dropped: dict[str, int] = {}
        self.key, self.mode = b"", ""
        self.key_seen = False
        self._settle_key()

    def start_bar(self, measure: Element) -> FrameBar:
        """A new bar with what is in force at its start."""
        number, implicit, opening = "", False, "<measure"
        for key, value in measure.items():
            if key in _OF_THE_PAGE:
                continue
            opening += f' {key}="{_escaped(str(value))}"'
            if key == "number":
                number = str(value)
            elif key == "implicit":
                implicit = value == "yes"
        self._bars += 1
        if not number:
            number = str(self._bars)
            opening += f' number="{number}"'
        tag = f"{opening}>\n".encode()
        bar = FrameBar(number, tag, self.metre, self.fifths, self.alterations)
        bar.implicit = implicit
        bar.key, bar.mode = self.key, self.mode
        return bar

    def read_attributes(self, element: Element) -> tuple[bytes, bytes]:
        """Take in an ``<attributes>``.

        Returns:
            What every part writes of it before and behind its clef; divisions are not in it.

        Raises:
            Refused: divisions, a key or a time that cannot be.
        """
        children = list(element)
        for child in children:
            if child.tag == "divisions":
                self._take_divisions(child)
            elif child.tag == "transpose" and self._is_mine(child):
                self._transposition = _transposition(child)
        keys = [c for c in children if c.tag == "key" and self._is_mine(c)]
        if keys:
            self.key_seen = True
            self._written_fifths = _fifths_of(keys[-1])
        self._settle_key()
        before: list[bytes] = []
        after: list[bytes] = []
        for child in children:
            kept = self._kept(child)
            if kept:
                (before if child.tag in _BEFORE_CLEF else after).append(kept)
        return b"".join(before), b"".join(after)

    def _is_mine(self, element: Element) -> bool:
        return element.get("number") in {None, self._staff}

    def _take_divisions(self, element: Element) -> None:
        value = divisions_of(element)
        self.scale = int(self._divisions / value)

    def _settle_key(self) -> None:
        total = Interval(
            self._transposition.steps + self._by.steps,
            self._transposition.semitones + self._by.semitones,
        )
        moves = total != UNISON
        if not self.key_seen:
            self.interval = total
            return
        self.interval = kept_within_seven(self._written_fifths, total) if moves else UNISON
        self.fifths = self._written_fifths + self.interval.fifths
        self.alterations = key_alterations(self.fifths)

    def _kept(self, child: Element) -> bytes:
        tag = str(child.tag)
        if tag in _OF_THE_STAFF:
            if _OF_THE_STAFF[tag]:
                self._drop(_OF_THE_STAFF[tag])
            return b""
        if not self._is_mine(child):
            return b""
        child = deepcopy(child)  # the sketch may be read again, by another interval
        child.attrib.pop("number", None)
        if tag == "key":
            self._transpose_key(child)
            self.key = serialised(child)
            self.mode = (child.findtext("mode") or "").strip()
        elif tag == "time":
            self._take_time(child)
        elif tag == "measure-style" and child.find("multiple-rest") is not None:
            self._drop("multi-bar rests")
            return b""
        return serialised(child)

    def _drop(self, kind: str) -> None:
        self.dropped[kind] = self.dropped.get(kind, 0) + 1

    def _transpose_key(self, key: Element) -> None:
        if self.interval == UNISON:
            if key.find("fifths") is None:
                self.alterations = dict(self.alterations) | dict(_unusual_key(key))
            return
        shift = self.interval.fifths
        for tag in ("cancel", "fifths"):
            element = key.find(tag)
            if element is not None:
                element.text = str(_whole(element.text) + shift)
        for step, alter in zip(key.findall("key-step"), key.findall("key-alter"), strict=False):
            moved = transpose(Pitch(str(step.text), float(alter.text or 0), 4), self.interval)
            step.text, alter.text = moved.step, f"{moved.alter:g}"
        if key.find("fifths") is None:
            self.alterations = key_alterations(0) | dict(_unusual_key(key))

    def _take_time(self, time: Element) -> None:
        beats = [str(e.text or "") for e in time.findall("beats")]
        types = [str(e.text or "") for e in time.findall("beat-type")]
        try:
            self.metre = metre_from_times(
                list(zip(beats, types, strict=True)), symbol=time.get("symbol", "")
            )
        except ValueError as fault:
            raise Refused(f"a time signature that cannot be: {fault}", "correct it") from None


def _unusual_key(key: Element) -> Iterable[tuple[str, float]]:
    for step, alter in zip(key.findall("key-step"), key.findall("key-alter"), strict=False):
        yield str(step.text).strip(), float(alter.text or 0)


def divisions_of(element: Element) -> Fraction:
    """The value of a ``<divisions>``.

    Raises:
        Refused: it is not above zero.
    """
    try:
        value = Fraction((element.text or "").strip())
    except (ValueError, ZeroDivisionError):
        value = Fraction(0)
    if value <= 0:
        raise Refused(
            f'"{element.text}" divisions in a quarter note cannot be', "export the sketch again"
        )
    return value


def _whole(text: str | None) -> int:
    try:
        return int((text or "").strip())
    except ValueError:
        raise Refused(
            f'"{text}" sharps or flats in a key cannot be', "correct the key"
        ) from None


def _fifths_of(key: Element) -> int:
    element = key.find("fifths")
    if element is None:
        return 0
    fifths = _whole(element.text)
    if abs(fifths) > MOST_FIFTHS:
        raise Refused(f"a key of {abs(fifths)} sharps or flats cannot be", "correct the key")
    return fifths


def _transposition(element: Element) -> Interval:
    semitones = _whole_of(element, "chromatic")
    octaves = _whole_of(element, "octave-change")
    if element.find("diatonic") is not None:
        steps = _whole_of(element, "diatonic")
    else:
        size = abs(semitones)
        steps = _STEPS_OF_SEMITONES[size % 12] + size // 12 * 7
        steps = -steps if semitones < 0 else steps
    return Interval(steps + 7 * octaves, semitones + 12 * octaves)


def _whole_of(element: Element, tag: str) -> int:
    text = (element.findtext(tag) or "0").strip()
    try:
        steps = int(float(text))
    except (ValueError, OverflowError):
        steps = FURTHEST + 1
    if abs(steps) > FURTHEST:
        raise Refused(f'a transposition by "{text}" cannot be', "correct it")
    return steps


def _escaped(text: str) -> str:
    if text.isalnum():
        return text
    for raw, escaped in (("&", "&amp;"), ("<", "&lt;"), ('"', "&quot;")):
        text = text.replace(raw, escaped)
    return text
