"""What a plan can name in a score: printed bars, rehearsal marks, beats."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise
from math import ceil
from typing import TYPE_CHECKING, Final, Protocol, TypeVar

from rewriter.problems import Refused, beat_text
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from rewriter.rulefiles.plans import Point
    from rewriter.theory.metre import Metre

T = TypeVar("T")

_ONE_OF_SEVERAL: Final = re.compile(r"(.+?)\s*\((\d{1,4})\)")
_SAID: Final = re.compile(r"(bar|mark)\s+(.+)", re.IGNORECASE)


class Barred(Protocol):
    """A bar of a score, finished or not, as plans count it."""

    @property
    def number(self) -> str:
        """As printed."""

    @property
    def length(self) -> int:
        """Divisions."""

    @property
    def lacking(self) -> int | Fraction:
        """Divisions an upbeat bar lacks at its start."""

    @property
    def metre(self) -> Metre:
        """In force at its start."""


class AllBars(Protocol):
    """The bars of a score, finished or not."""

    @property
    def bars(self) -> Sequence[Barred]:
        """In order."""

    @property
    def divisions(self) -> int:
        """Of a quarter."""

    @property
    def movements(self) -> Sequence[int]:
        """Index of the first bar of each movement."""

    def movement(self, bar: int) -> int:
        """Which movement a bar is in, counted from 1; 0 where there is only one."""

    def bar_text(self, bar: int) -> str:
        """A bar for people."""


class Landmarks:
    """Printed bar numbers and rehearsal marks of a score, each with all its places."""

    def __init__(self, frame: AllBars, marks: Iterable[tuple[Moment, str]]) -> None:
        """Note where everything is.

        Args:
            frame: the bars.
            marks: rehearsal marks, with where they stand.
        """
        self._frame = frame
        self._bars: dict[str, list[int]] = {}
        self._marks: dict[str, list[Moment]] = {}
        self._spelling: dict[str, str] = {}
        for index, bar in enumerate(frame.bars):
            self._bars.setdefault(bar.number, []).append(index)
        for place, mark in marks:
            self._add(mark, place)

    def _add(self, mark: str, place: Moment) -> None:
        """One more place of a mark, unless two staves have it at one moment."""
        self._spelling.setdefault(mark.casefold(), mark)
        places = self._marks.setdefault(mark.casefold(), [])
        if place not in places:
            places.append(place)

    def start(self, point: Point, *, bars_only: bool) -> Moment:
        """The moment a passage starts.

        Args:
            point: in the words of the plan.
            bars_only: names are printed bar numbers, never rehearsal marks.

        Raises:
            Refused: there is no such bar, mark or beat, or there are several.
        """
        moment, _ = self._look_up(point, bars_only=bars_only)
        return moment if point.beat is None else self._beat(moment.bar, point.beat)

    def stop(self, point: Point, *, bars_only: bool) -> Moment:
        """The first moment behind a passage: behind a bar or beat, but before a mark.

        Raises:
            Refused: as :meth:`start` does.
        """
        moment, by_mark = self._look_up(point, bars_only=bars_only)
        if point.beat is not None:
            self._beat(moment.bar, point.beat)
            return self._unchecked_beat(moment.bar, point.beat + 1)
        return moment if by_mark else Moment(moment.bar + 1, 0)

    def _look_up(self, point: Point, *, bars_only: bool) -> tuple[Moment, bool]:
        """The moment of a point, its beat left aside, and whether it is a rehearsal mark."""
        if point.kind != "named":
            last = len(self._frame.bars) - 1
            return Moment(0 if point.kind == "start" else last, 0), False
        kind, name = "", point.name
        if match := _SAID.fullmatch(name):
            kind, name = match[1].lower(), match[2]
        only_bars = bars_only or kind == "bar"
        marks = [] if only_bars else _named(self._marks, name.casefold())
        bars = [] if kind == "mark" else _named(self._bars, name)
        if marks and bars:
            raise Refused(
                f'"{name}" is a bar and a rehearsal mark', f'say "bar {name}" or "mark {name}"'
            )
        if len(marks) > 1:
            mark = self._spelling[name.casefold()]
            what = f'the rehearsal mark "{mark}" comes {len(marks)} times'
            raise Refused(what, f"say which: {', '.join(self._listed(name.casefold()))}")
        if len(bars) > 1:
            which = (
                f"{name}({number}){self._in_movement(bar)}"
                for number, bar in enumerate(bars, 1)
            )
            raise Refused(
                f"{len(bars)} bars are numbered {name}", f"say which: {', '.join(which)}"
            )
        if marks:
            return marks[0], True
        if bars:
            return Moment(bars[0], 0), False
        raise self._unknown(name, bars_only=bars_only)

    def _unknown(self, name: str, *, bars_only: bool) -> Refused:
        known = f"bars go {', '.join(self._extents())}"
        if bars_only:
            if _named(self._marks, name.casefold()):
                return Refused(
                    f'"{name}" is a rehearsal mark', "write from and to in place of bars"
                )
            return Refused(f"there is no bar {name}", known)
        if self._marks:
            listed = (one for folded in self._marks for one in self._listed(folded))
            known += f", rehearsal marks are {', '.join(listed)}"
        return Refused(f'there is no bar or mark "{name}"', known)

    def _extents(self) -> Iterator[str]:
        """First and last number of each movement."""
        bars, starts = self._frame.bars, [*self._frame.movements, len(self._frame.bars)]
        for first, behind in pairwise(starts):
            said = f"from {bars[first].number} to {bars[behind - 1].number}"
            yield said + self._in_movement(first)

    def _in_movement(self, bar: int) -> str:
        movement = self._frame.movement(bar)
        return f" in movement {movement}" if movement else ""

    def _listed(self, folded: str) -> Sequence[str]:
        """A mark as plans name it, with its bars where it comes more than once."""
        name, places = self._spelling[folded], self._marks[folded]
        if len(places) == 1:
            return [name]
        return [
            f"{name}({number}) in {self._frame.bar_text(place.bar)}"
            for number, place in enumerate(places, 1)
        ]

    def _beat(self, bar: int, beat: Fraction) -> Moment:
        """The moment of a beat, counted from 1 in denominators of the printed metre.

        An upbeat bar has the last beats of a full one.
        """
        framed = self._frame.bars[bar]
        unit = self._unit(bar)
        first = Fraction(framed.lacking) / unit + 1
        behind = Fraction(framed.lacking + framed.length) / unit + 1
        if not first <= beat < behind:
            last = Fraction(ceil(behind) - 1)
            beats = f"beats are {beat_text(first)} to {beat_text(last)}"
            beats = beats if first < last else f"only beat is {beat_text(first)}"
            what = f"{self._frame.bar_text(bar)} has no beat {beat_text(beat)}"
            raise Refused(what, f"its {beats}")
        return self._unchecked_beat(bar, beat)

    def _unchecked_beat(self, bar: int, beat: Fraction) -> Moment:
        framed = self._frame.bars[bar]
        onset = (beat - 1) * self._unit(bar) - framed.lacking
        if onset >= framed.length:
            return Moment(bar + 1, 0)
        return Moment(bar, ceil(onset))

    def _unit(self, bar: int) -> Fraction:
        """Divisions of a beat."""
        return Fraction(4 * self._frame.divisions, self._frame.bars[bar].metre.beat_unit)


def _named(known: Mapping[str, Sequence[T]], name: str) -> Sequence[T]:
    """All places of a name; of ``A(2)`` the second of ``A``."""
    if name in known:
        return known[name]
    match = _ONE_OF_SEVERAL.fullmatch(name)
    if match is None:
        return ()
    number = int(match[2])
    return known.get(match[1], ())[number - 1 : number] if number else ()
