"""The order in which bars are played: repeats, endings, da capo, dal segno, coda and fine.

A jump is made at the end of its bar, after that bar's repeats, and once; so is the way to the
coda. After a jump nothing is repeated, and of endings the last is played, as players do.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.scores.repeat_signs import BarSigns, signs_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.scores.score import Part, Score

_MOST_JUMPS: Final = 8
"""In one piece; more are a damaged file."""


class _Group(NamedTuple):
    """Endings that stand side by side.

    Attributes:
        last: index of their last bar.
        turns: times the passage before them is played.
    """

    last: int
    turns: int


class _Ending(NamedTuple):
    """The ending a bar is in."""

    numbers: tuple[int, ...]
    stop: int
    group: _Group


def playing_order(score: Score) -> list[int]:
    """Indexes of the bars in the order in which they are played.

    Args:
        score: its first part that has repeats says how it is repeated, its first that has
            jumps where they lead.
    """
    if not score.parts:
        return []
    parts = [signs_of(part) for part in score.parts]
    bars = max(len(part.bars) for part in score.parts)
    repeats = next((signs for signs in parts if any(map(_repeats, signs))), parts[0])
    jumps = next((found for signs in parts if (found := _jumps(signs))), {})
    repeats = [*repeats, *[BarSigns()] * (bars - len(repeats))]
    return _Player(repeats, jumps).order()


def order_of(part: Part) -> list[int]:
    """The same by one part alone.

    Args:
        part: of any score.
    """
    signs = signs_of(part)
    return _Player(signs, _jumps(signs)).order()


def _repeats(signs: BarSigns) -> bool:
    return signs.forward or signs.turns > 0


def _jumps(signs: Sequence[BarSigns]) -> dict[int, dict[str, str]]:
    """What the bars say of jumps, by bar; empty where there is none to be made."""
    for of in ("heard", "drawn"):
        found = {bar: dict(said) for bar, one in enumerate(signs) if (said := getattr(one, of))}
        if any(name in said for said in found.values() for name in ("dacapo", "dalsegno")):
            return found if of == "heard" else _codas_told_apart(found)
    return {}


def _codas_told_apart(found: dict[int, dict[str, str]]) -> dict[int, dict[str, str]]:
    """Of two coda signs without words the first leads to the second."""
    first, *others = [bar for bar, said in found.items() if "coda" in said] or [-1]
    if len(others) == 1 and not any("tocoda" in said for said in found.values()):
        del found[first]["coda"]
        found[first]["tocoda"] = ""
    return found


def _endings(signs: Sequence[BarSigns]) -> dict[int, _Ending]:
    """The ending of each bar that is in one; brackets nothing is repeated from are none."""
    groups: list[list[tuple[int, int]]] = []
    for start, stop in _brackets(signs):
        if groups and start == groups[-1][-1][1] + 1:
            groups[-1].append((start, stop))
        else:
            groups.append([(start, stop)])
    found = {}
    for group in groups:
        inside = range(group[0][0], group[-1][1] + 1)
        if not any(signs[bar].turns for bar in inside):
            continue
        numbers = [number for start, _ in group for number in signs[start].ending_starts]
        turns = max(*numbers, *(signs[bar].turns for bar in inside))
        for start, stop in group:
            ending = _Ending(signs[start].ending_starts, stop, _Group(inside[-1], turns))
            found.update(dict.fromkeys(range(start, stop + 1), ending))
    return found


def _brackets(signs: Sequence[BarSigns]) -> Iterator[tuple[int, int]]:
    """First and last bar of each ending; one that is never stopped is one bar."""
    starts = [bar for bar, one in enumerate(signs) if one.ending_starts]
    for start, following in pairwise([*starts, len(signs)]):
        stops = (bar for bar in range(start, following) if signs[bar].ending_stops)
        yield start, next(stops, start)


class _Player:
    """Goes through the bars once.

    Attributes:
        start: bar to which the next repeat leads back.
        turn: how many times the passage from there is being played, from 1.
        jumped: True after the first jump.
    """

    def __init__(self, signs: Sequence[BarSigns], jumps: dict[int, dict[str, str]]) -> None:
        self._signs = signs
        self._jumps = jumps
        self._taken: set[tuple[str, int]] = set()
        self._endings = _endings(signs)
        self.start = 0
        self.turn = 1
        self.jumped = False

    def order(self) -> list[int]:
        played = []
        bar: int | None = 0
        while bar is not None and bar < len(self._signs):
            if self._signs[bar].forward and bar != self.start:
                self._begin(bar)
            ending = self._endings.get(bar)
            if ending is not None and not self._is_played(ending):
                bar = ending.stop + 1
                if ending.stop == ending.group.last:
                    self._begin(bar)
                continue
            played.append(bar)
            bar = self._next(bar)
        return played

    def _begin(self, bar: int) -> None:
        self.start, self.turn = bar, 1

    def _is_played(self, ending: _Ending) -> bool:
        if self.jumped:
            return ending.stop == ending.group.last
        return self.turn in ending.numbers

    def _next(self, bar: int) -> int | None:
        """The bar that is played after one; None at the end."""
        ending = self._endings.get(bar)
        turns = self._signs[bar].turns
        if turns and not self.jumped:
            if self.turn < (ending.group.turns if ending is not None else turns):
                self.turn += 1
                return self.start
            self._begin(bar + 1)
        elif ending is not None and bar == ending.group.last:
            self._begin(bar + 1)
        return self._after_jumps(bar)

    def _after_jumps(self, bar: int) -> int | None:
        said = self._jumps.get(bar, {})
        if self.jumped and "fine" in said:
            return None
        if self.jumped and "tocoda" in said:
            coda = self._marked("coda", said["tocoda"])
            if coda is not None and self._take("tocoda", bar):
                return coda
        for name in ("dacapo", "dalsegno"):
            goal = 0 if name == "dacapo" else self._marked("segno", said.get(name, ""))
            if name in said and goal is not None and self._take(name, bar):
                self.jumped = True
                return goal
        return bar + 1

    def _take(self, name: str, bar: int) -> bool:
        """True if a jump can be made now; it is then made."""
        if (name, bar) in self._taken or len(self._taken) == _MOST_JUMPS:
            return False
        self._taken.add((name, bar))
        return True

    def _marked(self, name: str, value: str) -> int | None:
        """The bar with a segno or coda of this value, or the only one there is."""
        bars = [bar for bar, said in self._jumps.items() if name in said]
        exact = [bar for bar in bars if self._jumps[bar][name] == value]
        return next(iter(exact or bars), None)
