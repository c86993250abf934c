"""How much higher the new score is than the base, bar by bar, as its keys and notes tell.

A transposition by the tool moves notes and key signatures together along the line of fifths. A
phrase of the sketch that comes again on another degree moves without its key, and is none.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.standing import DEFAULTS
from rewriter.theory.fifths import Interval, interval_between
from rewriter.theory.pitch import FIFTHS_OF_STEP

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterator, Mapping, Sequence

    from rewriter.comparing.contents import Contents
    from rewriter.comparing.things import Bar
    from rewriter.theory.pitch import Pitch

_UNMOVED: Final = Interval(0, 0)
_SHARP: Final = 7
_ENHARMONIC: Final = 12
_TURN: Final = 2
"""Bars that have to tell of another move before it is taken for one; one fewer where the new
score prints a key."""
_TRITONE: Final = 6


class _Form(NamedTuple):
    """What a bar sounds like in any key.

    Attributes:
        said: the same for two bars that differ by a transposition only.
        at: where the flattest of its notes is on the line of fifths.
        key: in force.
        stated: True where a key begins there.
    """

    said: Hashable
    at: float
    key: int
    stated: bool


def moves(
    base: Sequence[Contents], new: Sequence[Contents], part_now: Mapping[int, int]
) -> list[Interval]:
    """So much higher is each bar of the new score.

    Args:
        base: parts of the score as it was made.
        new: parts of the score as it is made now.
        part_now: parts of the base to parts of the new score.
    """
    known: dict[Hashable, list[tuple[int, _Form]]] = defaultdict(list)
    for bar, form in enumerate(_forms(base)):
        if form:
            known[form.said].append((bar, form))
    told: list[set[int]] = []
    turns = []
    heights: dict[int, Counter[Interval]] = defaultdict(Counter)
    for bar, form in enumerate(_forms(new)):
        told.append(set())
        turns.append(_TURN - bool(form and form.stated))
        for before, other in known[form.said] if form else ():
            by = form.at - other.at if form else 0
            if form and by == int(by) and not (form.key - other.key - by) % _ENHARMONIC:
                told[-1].add(int(by))
                heights[int(by)].update(_heights(base, new, part_now, before, bar))
    named = {by: _interval(by, heights[by]) for by in {0}.union(*told)}
    return [named[by] for by in _steadiest(told, turns)]


def _forms(parts: Sequence[Contents]) -> Iterator[_Form | None]:
    """Of each bar; None where nothing sounds."""
    count = max((len(part.bars) for part in parts), default=0)
    key = int(DEFAULTS["key"])
    for at in range(count):
        bars = [part.bars[at] for part in parts if at < len(part.bars)]
        said_here = [said for bar in bars for said in _keys(bar)]
        key, stated = (said_here[0], True) if said_here else (key, False)
        notes = [note for bar in bars for note in bar.notes if note.pitch and note.length]
        places = [_fifths(note.pitch) for note in notes if note.pitch]
        flattest = min(places, default=0)
        said = frozenset(
            (note.thing.at.onset, note.length, place - flattest)
            for note, place in zip(notes, places, strict=True)
        )
        yield _Form(said, flattest, key, stated) if said else None


def _keys(bar: Bar) -> Iterator[int]:
    for thing in bar.things:
        if thing.kind == "key":
            said = thing.what.split(" ")[0]
            if said.removeprefix("-").isdecimal():
                yield int(said)


def _fifths(pitch: Pitch) -> float:
    return FIFTHS_OF_STEP[pitch.step] + _SHARP * pitch.alter


def _heights(
    base: Sequence[Contents],
    new: Sequence[Contents],
    part_now: Mapping[int, int],
    before: int,
    bar: int,
) -> Iterator[Interval]:
    """How much higher each part has its first note."""
    for part, now in part_now.items():
        if before < len(base[part].bars) and bar < len(new[now].bars):
            one, two = base[part].bars[before].notes, new[now].bars[bar].notes
            if one and two and one[0].pitch and two[0].pitch:
                yield interval_between(one[0].pitch, two[0].pitch)


def _interval(by: int, heights: Counter[Interval]) -> Interval:
    """The interval most parts went by, else the nearest there is."""
    if not by:
        return _UNMOVED
    fitting = [one for one, _ in heights.most_common() if one.fifths == by]
    if fitting:
        return fitting[0]
    semitones = (7 * by + _TRITONE - 1) % 12 - _TRITONE + 1
    return Interval((7 * semitones - by) // 12, semitones)


def _steadiest(told: Sequence[set[int]], turns: Sequence[int]) -> list[int]:
    """For each bar one of what is told, so that few are contradicted and few follow another."""
    often = Counter(by for said in told for by in said)
    states = sorted({0, *often}, key=lambda by: (-often[by], abs(by), by))
    cost = dict.fromkeys(states, 0)
    came: list[dict[int, int]] = []
    for said, turn in zip(told, turns, strict=True):
        cheapest = min(states, key=cost.__getitem__)
        came.append(
            {by: by if cost[by] <= cost[cheapest] + turn else cheapest for by in states}
        )
        cost = {
            by: min(cost[by], cost[cheapest] + turn) + bool(said and by not in said)
            for by in states
        }
    by = min(states, key=cost.__getitem__)
    found = []
    for step in reversed(came):
        found.append(by)
        by = step[by]
    return found[::-1]
