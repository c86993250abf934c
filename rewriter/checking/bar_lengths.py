"""How long bars are, part by part, against the metre; which may be shorter or longer.

A bar that is short in all parts alike is meant to be where it is the first or the last, where a
barline with a sign stands, where it makes a whole with its neighbour, or with a pickup before.
A bar that is long in all parts alike is meant where somebody waits under a fermata.
"""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.theory.metre import Metre, length_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rewriter.checking.finished import Finished
    from rewriter.scores.events import BarEvents, Event

_FREE: Final = re.compile(
    rb"cad(?:enza|\.)|kadenz|a piacere|ad lib|recit|senza mis|a cappriccio", re.IGNORECASE
)
_SMALL: Final = (b'size="cue"', b"<cue", b'size="grace-cue"')
_SIGN: Final = b"<barline"
_METRE: Final = b"<time"
_PAUSE: Final = b"<fermata"


class WrongLength(NamedTuple):
    """A bar that lasts longer or shorter than it should.

    Attributes:
        part: index in score order; the first that has it so.
        bar: index.
        length: quarters.
        wants: quarters.
        of_metre: True where the metre wants it, False where the other parts do.
        more: parts that have it of the same wrong length besides.
    """

    part: int
    bar: int
    length: Fraction
    wants: Fraction
    of_metre: bool
    more: int


def wrong_lengths(score: Finished, spare: Fraction) -> Iterator[WrongLength]:
    """Bars of a wrong length.

    Args:
        score: looked at.
        spare: quarters that no bar is blamed for.
    """
    lengths = _Lengths(score, spare)
    for bar in range(len(score.reading.timeline.starts) - 1):
        if lengths.differs(bar):
            yield from lengths.wrong(bar)


class _Lengths:
    """The lengths of all bars."""

    def __init__(self, score: Finished, spare: Fraction) -> None:
        self._score = score
        self._spare = spare * score.reading.divisions
        self._bars = [score.reading.bars(part) for part in range(len(score.score.parts))]
        self._metres = [_metres(score, part) for part in range(len(score.score.parts))]
        self._pickups: set[Fraction] = set()

    def differs(self, bar: int) -> bool:
        """True when a part has it longer or shorter than its metre."""
        return any(
            bar < len(bars) and metres[bar] and abs(bars[bar].end - metres[bar]) > self._spare
            for bars, metres in zip(self._bars, self._metres, strict=True)
        )

    def wrong(self, bar: int) -> list[WrongLength]:
        """What is wrong with a bar that differs from the metre."""
        played = {
            part: bars[bar].end
            for part, bars in enumerate(self._bars)
            if bar < len(bars) and self._metres[part][bar] and _is_played(bars[bar])
        }
        if not played or any(self._is_free(part, bar) for part in played):
            return []
        usual, _ = Counter(played.values()).most_common(1)[0]
        if len({*played.values()}) == 1 and self._is_held(bar, usual, list(played)):
            return []
        full = any(length == self._metres[part][bar] for part, length in played.items())
        short = not full and self._is_meant(bar, usual, list(played))
        by_length: dict[tuple[int, int], list[int]] = {}
        for part, length in played.items():
            wants = usual if short else self._metres[part][bar]
            if abs(length - wants) > self._spare and not (
                self._excused(part, bar, wants) or self._in_others_metre(part, bar, usual)
            ):
                by_length.setdefault((length, wants), []).append(part)
        divisions = self._score.reading.divisions
        return [
            WrongLength(
                parts[0], bar, Fraction(length, divisions), Fraction(wants, divisions),
                not short, len(parts) - 1,
            )
            for (length, wants), parts in by_length.items()
        ]  # fmt: skip

    def _is_free(self, part: int, bar: int) -> bool:
        data = self._score.score.parts[part].bars[bar]
        opening, _, rest = data.partition(b">")
        return (
            b'implicit="yes"' in opening
            or b"<senza-misura" in rest
            or (b"<words" in rest and _FREE.search(rest) is not None)
        )

    def _excused(self, part: int, bar: int, wants: int) -> bool:
        """True for a bar with a run in small notes, or whose durations are rounded."""
        found = self._bars[part][bar]
        if found.end > wants and self._has(part, bar, *_SMALL):
            return True
        notes = [one for one in found.events if one.form and not one.form.chord]
        rounded = abs(found.end - wants) <= len(notes) * found.scale
        return rounded and Fraction(wants, self._score.reading.divisions) in _printed(notes)

    def _in_others_metre(self, part: int, bar: int, usual: int) -> bool:
        """True for a bar as long as most are, by another part's metre: its own is wrong."""
        others = (metres[bar] for at, metres in enumerate(self._metres) if at != part)
        return self._bars[part][bar].end == usual and usual in others

    def _is_held(self, bar: int, usual: int, parts: list[int]) -> bool:
        """True for a bar that is long in all parts alike, and in which somebody waits."""
        long = usual > self._metres[parts[0]][bar]
        return len(parts) > 1 and long and any(self._has(part, bar, _PAUSE) for part in parts)

    def _has(self, part: int, bar: int, *texts: bytes) -> bool:
        bars = self._score.score.parts[part].bars
        return 0 <= bar < len(bars) and any(text in bars[bar] for text in texts)

    def _is_meant(self, bar: int, usual: int, parts: list[int]) -> bool:
        """True for a bar that is short for everybody, where it may be."""
        metre = self._metres[parts[0]][bar]
        if usual >= metre - self._spare:
            return False
        starts = self._score.movements
        ends = {*(start - 1 for start in starts), len(self._bars[parts[0]]) - 1}
        quarters = Fraction(usual, self._score.reading.divisions)
        rest = Fraction(metre - usual, self._score.reading.divisions)
        meant = (
            bar in {*ends, *starts}
            or self._has(parts[0], bar, _METRE)
            or any(self._has(parts[0], one, _SIGN) for one in (bar - 1, bar, bar + 1))
            or any(self._completes(parts[0], bar, other) for other in (bar - 1, bar + 1))
            or rest in self._pickups
        )
        if meant:
            self._pickups.add(quarters)
        return meant

    def _completes(self, part: int, bar: int, other: int) -> bool:
        if not 0 <= other < len(self._bars[part]):
            return False
        both = self._bars[part][bar].end + self._bars[part][other].end
        return any(abs(both - self._metres[part][one]) <= self._spare for one in (bar, other))


def _metres(score: Finished, part: int) -> list[int]:
    """Divisions of each bar by the metre at its start; 0 where it has none."""
    in_force = score.in_force(part)
    found = []
    for start in score.reading.timeline.starts[:-1]:
        metre = in_force.last("metre", start)
        length = metre.length if isinstance(metre, Metre) else Fraction(0)
        found.append(int(length * score.reading.divisions))
    return found


def _printed(notes: Iterable[Event]) -> set[Fraction]:
    """Quarters of each voice, as its notes are printed."""
    found: dict[str, Fraction] = {}
    for note in notes:
        form = note.form
        if form is not None and not form.grace:
            length = length_of(form.type, form.dots) / form.ratio
            found[form.voice] = found.get(form.voice, Fraction(0)) + length
    return {*found.values()}


def _is_played(bar: BarEvents) -> bool:
    """True for a bar with more than rests that stand for it, whatever its length."""
    forms = [event.form for event in bar.events if event.form is not None]
    return any(
        not form.whole_bar and (form.kind != "rest" or form.type != "") for form in forms
    )
