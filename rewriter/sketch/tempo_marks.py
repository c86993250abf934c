"""What of a part's words is tempo by what stands around it, and which dashes go with tempo.

Words that may be either tempo or expression (*tranquillo*, *con moto*) are tempo beside a
metronome mark or a playback tempo, or bold at a bar's start under a new metre, key or double
bar; else they are the line's own. Dashes that begin with words of tempo go where these go.
"""

from __future__ import annotations

import re
from functools import cached_property
from typing import TYPE_CHECKING, Final, NamedTuple

import msgspec

from rewriter.musicxml.escaping import word
from rewriter.scores.children import plain
from rewriter.scores.directions import DirectionForm, read_direction_form
from rewriter.scores.quarters import in_quarters
from rewriter.sketch.sounds import JUMPS
from rewriter.theory.expression_words import expression_in
from rewriter.theory.techniques import techniques_in
from rewriter.theory.tempo_words import tempo_kind

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from fractions import Fraction

    from rewriter.scores.events import Event, InBars
    from rewriter.scores.quarters import BarInQuarters

_DIRECTION: Final = re.compile(rb"<direction[ >].*?</direction>", re.DOTALL)
_WORDS: Final = re.compile(rb"<words[^>]*>([^<]*)</words>")
_MEASURED: Final = re.compile(rb"<metronome[ />]|<sound [^>]*\btempo=")
_FOR_ALL: Final = re.compile(
    rb'<direction [^>]*(?:directive="yes"|system="(?!none"))|' + _MEASURED.pattern
)
_JUMPS: Final = b"|".join(map(word, sorted(JUMPS)))
_SPEAKING: Final = re.compile(
    rb"<(?:metronome|rehearsal|segno|coda)[ />]"
    rb'|<direction [^>]*(?:directive="yes"|system="(?!none"))'
    rb"|<sound [^>]*\b(?:tempo|" + _JUMPS + rb")="
)
_DOUBLE_BAR: Final = re.compile(
    rb"<bar-style[^>]*>\s*(?:light-light|light-heavy|heavy-light|heavy-heavy|heavy)\s*<"
)
_STATED: Final = re.compile(rb"<key[ >].*?</key>|<time[ >].*?</time>", re.DOTALL)
LINES: Final = frozenset(("dashes", "bracket"))
"""What may begin with words of tempo and end elsewhere."""

Where = tuple[int, int]
"""Index of the bar, place of the direction among its elements."""


class Around(NamedTuple):
    """What stands around a direction, as far as it settles who has it.

    Attributes:
        tempo: its words are tempo by what stands beside them.
        lines: (tag, number) of dashes and brackets in it that go with words of tempo.
    """

    tempo: bool = False
    lines: frozenset[tuple[str, str]] = frozenset()


ALONE: Final = Around()


class EitherWords(msgspec.Struct, frozen=True):
    """Words that may be tempo or expression, and what they were taken for.

    Attributes:
        bar: index.
        text: as it is printed.
        tempo: True for tempo.
    """

    bar: int
    text: str
    tempo: bool


class TempoMarks(msgspec.Struct, frozen=True):
    """What was found in a part; a direction that is not in `around` stands alone."""

    around: dict[Where, Around]
    either: list[EitherWords]


def words_in(form: DirectionForm) -> str:
    """All words of a direction, as one text."""
    return " ".join(sign.text for sign in form.signs if sign.tag == "words" and sign.text)


def speaks_for_all(data: bytes) -> bool:
    """True when a bar, or a direction, may say something for the whole score or every part.

    Words that are tempo only by what stands around them are not looked at.
    """
    if b"<direction" not in data and b"<sound" not in data:
        return False
    if _SPEAKING.search(data):
        return True
    return any(tempo_kind(text) == "tempo" for text in _texts(data))


class Measures:
    """Where the parts of a score have a tempo in figures.

    Attributes:
        bars: indexes of the bars in which one has.
    """

    def __init__(self, parts: Sequence[InBars]) -> None:
        """Look through all parts of a score."""
        self._parts = parts
        self._having = [_having_measure(part) for part in parts]
        self.bars = frozenset[int]().union(*self._having)

    @cached_property
    def moments(self) -> dict[int, set[Fraction]]:
        """By bar, the quarters from its start at which a tempo stands."""
        found: dict[int, set[Fraction]] = {}
        for part, having in zip(self._parts, self._having, strict=True):
            for at, bar in in_quarters(part, having).items():
                for event in bar.events:
                    if event.tag in {"direction", "sound"} and _MEASURED.search(event.data):
                        found.setdefault(at, set()).add(_moment(bar, event))
        return found


def tempo_marks(part: InBars, measures: Measures) -> TempoMarks:
    """Look through a part for words that are tempo by what stands around them.

    Args:
        part: of a score.
        measures: of that score: a metronome mark counts in whichever part it stands.
    """
    kinds = {
        at: {tempo_kind(text) for text in _texts(part.bars[at])}
        for at in part.saying(b"<words")
    }
    looked = {at for at, found in kinds.items() if "either" in found or at in measures.bars}
    lines: set[int] = set()
    if any("tempo" in found for found in kinds.values()) or looked:
        lines = {*part.saying(b"<dashes", b"<bracket")}
    if not looked | lines:
        return TempoMarks({}, [])
    return _Finder(part, measures).found(looked | lines)


def _texts(bar: bytes) -> Iterator[str]:
    """The words of each direction of a bar."""
    if b"<words" in bar:
        for match in _DIRECTION.finditer(bar):
            if words := _WORDS.findall(match[0]):
                yield " ".join(plain(word).strip() for word in words)


def _having_measure(part: InBars) -> set[int]:
    likely = part.saying(b"<metronome", b"tempo=")
    return {at for at in likely if _MEASURED.search(part.bars[at])}


class _Direction(msgspec.Struct, frozen=True):
    """A direction of a bar, and the quarters from its start that it speaks of."""

    place: int
    moment: Fraction
    form: DirectionForm
    data: bytes


class _Finder:
    """Goes through some bars of a part."""

    def __init__(self, part: InBars, measures: Measures) -> None:
        self._part = part
        self._measures = measures
        self._around: dict[Where, Around] = {}
        self._either: list[EitherWords] = []
        self._opened: dict[tuple[str, str], tuple[list[Where], bool]] = {}

    def found(self, bars: set[int]) -> TempoMarks:
        """Everything, of the bars that have something."""
        for at, bar in sorted(in_quarters(self._part, bars).items()):
            said: dict[Fraction, bool] = {}  # what words say right before dashes are theirs
            for one in _directions(bar):
                if words_in(one.form):
                    said[one.moment] = self._is_tempo(at, one, bar)
                self._take_lines(at, one, with_tempo=said.get(one.moment, False))
        return TempoMarks(self._around, self._either)

    def _is_tempo(self, at: int, one: _Direction, bar: BarInQuarters) -> bool:
        """True when the words of a direction are tempo, by themselves or by what is around."""
        text = words_in(one.form)
        kind = tempo_kind(text)
        own = _FOR_ALL.search(one.data) is not None
        bold = any(b'font-weight="bold"' in sign.data for sign in one.form.signs)
        beside = one.moment in self._measures.moments.get(at, ())
        taken = kind == "tempo" or own
        if kind == "either":
            opening = bold and one.moment == 0 and self._opens(at, bar)
            taken = own or beside or opening
            self._either.append(EitherWords(at, text, taken))
        elif not taken and beside and bold:
            taken = not (expression_in(text) or techniques_in(text) or text.islower())
        if taken and not own and kind != "tempo":
            self._around[at, one.place] = Around(tempo=True)
        return taken and (kind != "" or not own)

    def _opens(self, at: int, bar: BarInQuarters) -> bool:
        """True when a bar begins a piece, a metre or a key, or stands behind a double bar."""
        for event in bar.events:
            begins = event.tag == "attributes" and event.onset == 0
            if begins and any(self._is_new(at, found) for found in _STATED.findall(event.data)):
                return True
            left = event.tag == "barline" and b'location="left"' in event.data
            if left and _DOUBLE_BAR.search(event.data):
                return True
        return at == 0 or _DOUBLE_BAR.search(self._part.bars[at - 1]) is not None

    def _is_new(self, at: int, stated: bytes) -> bool:
        """True for a key or metre that is not the one stated last before a bar."""
        for before in range(at - 1, -1, -1):
            said: list[bytes] = _STATED.findall(self._part.bars[before])
            known = [one for one in said if one[:4] == stated[:4]]
            if known:
                return known[-1] != stated
        return True

    def _take_lines(self, at: int, one: _Direction, *, with_tempo: bool) -> None:
        """Dashes that begin with tempo, once they have ended."""
        here = at, one.place
        for sign in one.form.signs:
            if sign.tag not in LINES:
                continue
            name = sign.tag, sign.number
            if sign.type == "start":
                self._opened[name] = [here], with_tempo
            elif name in self._opened:
                places, is_tempo = self._opened[name]
                places.append(here)
                if sign.type == "stop":
                    del self._opened[name]
                    for place in places if is_tempo else ():
                        known = self._around.get(place, ALONE)
                        self._around[place] = known._replace(lines=known.lines | {name})


def _directions(bar: BarInQuarters) -> Iterator[_Direction]:
    for event in bar.events:
        if event.tag == "direction":
            form = read_direction_form(event.data)
            yield _Direction(event.place, _moment(bar, event), form, event.data)


def _moment(bar: BarInQuarters, event: Event) -> Fraction:
    """Quarters from the start of the bar, the offset counted."""
    onset = bar.onset(event)
    if event.tag == "direction":
        onset += read_direction_form(event.data).offset / bar.divisions_at(event.place)
    return onset
