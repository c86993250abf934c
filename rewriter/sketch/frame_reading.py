"""The frame of a part: bars, barlines, keys and metres, made sounding and concert pitch."""

from __future__ import annotations

import re
from copy import deepcopy
from typing import TYPE_CHECKING, Final

from lxml import etree

from rewriter.musicxml.accidentals import key_alterations
from rewriter.musicxml.escaping import attribute
from rewriter.musicxml.note_reading import serialised
from rewriter.problems import Refused
from rewriter.scores.children import attributes_of
from rewriter.sketch.frame import FrameBar
from rewriter.sketch.signatures import (
    fifths_of,
    moved_step,
    transposition,
    whole_number,
)
from rewriter.theory.fifths import Interval, kept_within_seven
from rewriter.theory.metre import Metre, metre_from_times

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

COMMON_TIME: Final = metre_from_times([("4", "4")])
UNISON: Final = Interval(0, 0)
_OF_THE_STAFF: Final = {
    "clef": "clefs", "staff-details": "staff details", "staves": "", "part-symbol": "",
    "instruments": "", "for-part": "", "transpose": "", "divisions": "", "directive": "",
}  # fmt: skip
_STYLES: Final = {
    "multiple-rest": "multi-bar rests", "measure-repeat": "bar repeat signs",
    "beat-repeat": "beat repeat signs", "slash": "slashes for beats",
}  # fmt: skip
"""What a ``<measure-style>`` puts in place of notes; the notes are written out here."""

_NUMBERED: Final = re.compile(rb'<measure number="(\w+)">')
_OF_THE_PAGE: Final = frozenset(("width", "id", "xml:id"))
_LONGEST_NUMBER: Final = 40  # of a bar as people are told it; printed it is whole
_BEFORE_CLEF: Final = frozenset(("footnote", "level", "key", "time"))


class FrameReader:
    """Keeps what is in force while a part is read: key, metre, transposition.

    Attributes:
        metre: in force.
        fifths: key in force, sounding.
        alterations: what the key does to each letter.
        interval: from written to sounding, and on to the key asked for.
        dropped: kinds left behind, counted.
        key_seen: True from the first key on; without one, nothing has a signature.
        key: the ``<key>`` in force, as bytes; empty before the first.
        mode: its ``<mode>``, empty where it has none.
    """

    def __init__(self, staff: str, by: Interval) -> None:
        self._staff = staff
        self._by = by
        self._written_fifths = 0
        self._bars = 0
        self._transposition = UNISON
        self.metre: Metre = COMMON_TIME
        self.fifths = 0
        self.alterations = key_alterations(0)
        self.interval = by
        self.dropped: dict[str, int] = {}
        self.key, self.mode = b"", ""
        self.key_seen = False
        self.states_key = False
        self._written_key: Element | None = None

    def start_bar(self, measure: bytes) -> FrameBar:
        """A new bar with what is in force at its start.

        Args:
            measure: the bar as bytes, or its opening tag.
        """
        self._bars += 1
        numbered = _NUMBERED.match(measure)  # and nothing else, as most are
        if numbered:
            number, opening, implicit = numbered[1].decode(), numbered[0], False
        else:
            said = attributes_of(measure)
            number = said["number"] = said.get("number") or str(self._bars)
            opening = b"<measure" + b"".join(
                attribute(key, value)
                for key, value in said.items()
                if key not in _OF_THE_PAGE and (":" not in key or key.startswith("xml:"))
            )
            opening, implicit = opening + b">", said.get("implicit") == "yes"
        if len(number) > _LONGEST_NUMBER:
            number = f"{number[:_LONGEST_NUMBER]}..."
        bar = FrameBar(number, opening + b"\n", self.metre, self.fifths, self.alterations)
        bar.implicit = implicit
        bar.key, bar.mode = self.key, self.mode
        return bar

    def read_attributes(self, element: Element) -> tuple[bytes, bytes]:
        """Take in an ``<attributes>``, which is changed on the way.

        Returns:
            What every part writes of it before and behind its clef; divisions are not in it.

        Raises:
            Refused: a key or a time that cannot be.
        """
        children = list(element)
        moves = False
        for child in children:
            if child.tag == "transpose" and self._is_mine(child):
                self._transposition = transposition(child)
                moves = True
                if child.find("double") is not None:
                    self._drop("doublings at the octave")
        keys = [c for c in children if c.tag == "key" and self._is_mine(c)]
        if keys:
            self.key_seen = True
            self._written_key = deepcopy(keys[-1])  # it is moved on the way
            self._written_fifths = fifths_of(keys[-1])
        if keys or moves:
            self._settle_key()
        before: list[bytes] = []
        after: list[bytes] = []
        if moves and not keys:
            before.append(self._key_of_new_transposition())
        self.states_key = bool(keys or any(before))
        for child in children:
            kept = self._kept(child)
            if kept:
                (before if child.tag in _BEFORE_CLEF else after).append(kept)
        return b"".join(before), b"".join(after)

    def _key_of_new_transposition(self) -> bytes:
        """The key of a part that is transposed anew in the same written key; empty if none.

        Whoever takes up another clarinet may stay in his key; all others change theirs.
        """
        if self._written_key is None:
            return b""
        before = self.key
        key = deepcopy(self._written_key)
        key.attrib.pop("number", None)
        self._take_key(key)
        return self.key if self.key != before else b""

    def _take_key(self, key: Element) -> bytes:
        """Move a key to where it sounds; what is printed may cancel the one before."""
        self._transpose_key(key)
        printed = serialised(key)
        for cancel in key.findall("cancel"):
            key.remove(cancel)
        self.key = serialised(key)
        self.mode = (key.findtext("mode") or "").strip()
        return printed

    def _is_mine(self, element: Element) -> bool:
        return element.get("number") in {None, self._staff}

    def _settle_key(self) -> None:
        total = Interval(
            self._transposition.steps + self._by.steps,
            self._transposition.semitones + self._by.semitones,
        )
        self.interval = total
        if not self.key_seen:
            return
        if total.fifths:  # by octaves alone every key stays as it is written
            self.interval = kept_within_seven(self._written_fifths, total)
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
        child.attrib.pop("number", None)
        if tag == "key":
            return self._take_key(child)
        if tag == "time":
            self._take_time(child)
        elif tag == "measure-style":
            for style in child:
                if style.get("type") != "stop":
                    self._drop(_STYLES.get(str(style.tag), "bar styles"))
            return b""
        return serialised(child)

    def _drop(self, kind: str) -> None:
        self.dropped[kind] = self.dropped.get(kind, 0) + 1

    def _transpose_key(self, key: Element) -> None:
        """Move a key to where it sounds, and note what it does to each letter."""
        shift = self.interval.fifths
        for tag in ("cancel", "fifths") if shift else ():
            element = key.find(tag)
            if element is not None:
                element.text = str(whole_number(element.text) + shift)
                if tag == "cancel" and element.text == "0":
                    key.remove(element)
        if key.find("fifths") is None:
            unusual: dict[str, float] = {}
            for step, alter in zip(
                key.findall("key-step"), key.findall("key-alter"), strict=False
            ):
                unusual |= [moved_step(step, alter, self.interval)]
            self.alterations = key_alterations(0) | unusual

    def _take_time(self, time: Element) -> None:
        beats = [str(e.text or "") for e in time.findall("beats")]
        types = [str(e.text or "") for e in time.findall("beat-type")]
        try:
            self.metre = metre_from_times(
                list(zip(beats, types, strict=True)), symbol=time.get("symbol", "")
            )
        except ValueError as fault:
            raise Refused(f"a time signature that cannot be: {fault}", "correct it") from None


def later_wins(pieces: bytes) -> bytes:
    """Keys, metres and notes on them of several ``<attributes>`` as those of one."""
    joined = etree.fromstring(b"<attributes>" + pieces + b"</attributes>")
    last = {str(element.tag): element for element in joined}
    order = ("footnote", "level", "key", "time")
    return b"".join(serialised(last[tag]) for tag in order if tag in last)
