"""How a part has its lowest string tuned: scordatura, extensions, fifth strings."""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import TYPE_CHECKING, Final

from rewriter.scores.children import element_of
from rewriter.scores.directions import read_direction_form
from rewriter.theory.fifths import parse_key
from rewriter.theory.numbers import decimal, whole
from rewriter.theory.pitch import SEMITONES_OF_STEP, midi, name_of_midi

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.finished import Finished
    from rewriter.rulefiles.ensembles import Section
    from rewriter.scores.directions import Sign

_RETUNED: Final = re.compile(
    r"\b(?P<string>IV|4|[CEG])(?:[a.ª]|\b)[\s-]*(?:corda|corde|string|saite)?\s*"
    r"(?:in|to|nach|auf|en|=|→)\s*"
    r"(?P<note>[A-H](?:is|e?s|[#b♯♭]|[- ]?(?:flat|sharp))?)(?![a-z])",
    re.IGNORECASE,
)
_FIFTH_STRING: Final = re.compile(
    r"\b(?:5|V|five|fünf|cinque?)[- ]?(?:strings?|saiti\w*|saiten|cord[ea]s?)\b", re.IGNORECASE
)
_EXTENSION: Final = re.compile(r"\b(?:C[- ]?)?ext(?:ension|\.)|\blow C\b", re.IGNORECASE)
_WITH_FIFTH_STRING: Final = 23
_WITH_EXTENSION: Final = 24
_UNKNOWN: Final = 0.0
"""Tuned otherwise, nobody says how: no note is too low."""


class Tunings:
    """The lowest note of a part from moment to moment."""

    def __init__(self, score: Finished, part: int, section: Section) -> None:
        """Look through what a part says.

        Args:
            score: it is in.
            part: index in score order.
            section: who plays it.
        """
        self._section = section
        name = self._in_words(score.score.parts[part].name)
        told = [(-1, float(section.lowest) if name is None else name)]
        told += sorted(self._told_in(score, part))
        self._times = [time for time, _ in told]
        self._lowest = [lowest for _, lowest in told]

    def lowest(self, time: int) -> float:
        """The lowest note, a MIDI number.

        Args:
            time: divisions from the start of the piece.
        """
        return self._lowest[bisect_right(self._times, time) - 1]

    def _told_in(self, score: Finished, part: int) -> Iterator[tuple[int, float]]:
        reading = score.reading
        for index in score.score.parts[part].saying(b"<words", b"<scordatura"):
            start = reading.timeline.starts[index]
            for event in reading.bars(part)[index].events:
                if event.tag == "direction":
                    for sign in read_direction_form(event.data).signs:
                        lowest = self._in_sign(sign)
                        if lowest is not None:
                            yield start + event.onset, lowest

    def _in_sign(self, sign: Sign) -> float | None:
        if sign.tag == "words":
            return self._in_words(sign.text)
        if sign.tag != "scordatura":
            return None
        lowest = dict(enumerate(map(float, reversed(self._section.strings)), start=1))
        for accord in element_of(sign.data).iterfind("accord"):
            string = whole(accord.get("string", ""))
            step = (accord.findtext("tuning-step") or "").strip()
            alter = decimal(accord.findtext("tuning-alter") or "0")
            octave = whole(accord.findtext("tuning-octave") or "")
            if (
                string is None
                or alter is None
                or octave is None
                or step not in SEMITONES_OF_STEP
            ):
                return _UNKNOWN
            lowest[string] = midi(step, float(alter), octave)
        return min(lowest.values())

    def _in_words(self, words: str) -> float | None:
        if retuned := _RETUNED.search(words):
            return self._retuned(retuned)
        if "scordatura" in words.casefold():
            return _UNKNOWN
        if self._section.strings[0] - _WITH_EXTENSION in range(6):
            if _FIFTH_STRING.search(words):
                return _WITH_FIFTH_STRING
            if _EXTENSION.search(words):
                return _WITH_EXTENSION
        return None

    def _retuned(self, retuned: re.Match[str]) -> float | None:
        """The lowest string at the nearest pitch of the name that is told."""
        string = self._section.strings[0]
        if retuned["string"].upper() not in {"IV", "4", name_of_midi(string)[0]}:
            return None
        try:
            pitch_class = parse_key(retuned["note"].capitalize()).tonic * 7 % 12
        except ValueError:
            return _UNKNOWN
        return string + (pitch_class - string + 6) % 12 - 6
