"""How much higher the new score is than the base, bar by bar, as its keys and notes tell.

A transposition by the tool moves notes and key signatures together along the line of fifths. A
phrase of the sketch that comes again on another degree moves without its key, and is none.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.standing import DEFAULTS
from rewriter.theory.fifths import Interval, interval_between
from rewriter.theory.pitch import FIFTHS_OF_STEP, STEPS

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence

    from rewriter.comparing.contents import Contents
    from rewriter.comparing.things import Bar
    from rewriter.theory.pitch import Pitch

_UNMOVED: Final = Interval(0, 0)
_SHARP: Final = 7
_ENHARMONIC: Final = 12
_MOST: Final = 4
"""Notes of a bar that count for what it tells: a bar of one note has twins everywhere."""
_TURN: Final = 8
"""Notes that have to tell of another move before it is taken for one; half as many where the
new score prints a key."""
_MODE: Final = 3
"""Fifths from a major key to the minor one on its tonic."""
_ENOUGH: Final = 100
"""Notes that are asked how much higher they are."""
_TRITONE: Final = 6


class _Form(NamedTuple):
    """What a bar sounds like in any key.

    Attributes:
        said: the same for two bars that differ by a transposition only.
        at: where it lies: the flattest of its notes on the line of fifths, or a letter.
        in_letters: told by letters alone, from 0 for C: in another mode they stay.
        key: in force.
        stated: True where a key begins there.
    """

    said: frozenset[tuple[int, int, float]]
    at: float
    key: int
    stated: bool
    in_letters: bool = False

    def moves_from(self, other: _Form) -> Iterator[int]:
        """Along the line of fifths, as keys and notes both tell."""
        by = self.at - other.at
        keys = self.key - other.key
        if not self.in_letters:
            if by == int(by) and not (keys - by) % _ENHARMONIC:
                yield int(by)
            return
        for way in (0, _MODE, -_MODE):
            if not (keys + way + 5 * by) % len(STEPS):  # five letters down are a fifth up
                yield keys + way


def moves(
    base: Sequence[Contents], new: Sequence[Contents], part_now: Mapping[int, int]
) -> list[Interval]:
    """So much higher is each bar of the new score.

    Args:
        base: parts of the score as it was made.
        new: parts of the score as it is made now.
        part_now: parts of the base to parts of the new score.
    """
    told, heights = _told(base, new, part_now, _forms)
    if 2 * sum(bool(one.moves) for one in told) < sum(bool(one.weight) for one in told):
        told, heights = _told(base, new, part_now, _letters)
    named = {by: _interval(by, heights[by]) for by in {0}.union(*(one.moves for one in told))}
    return [named[by] for by in _steadiest(told)]


def _told(
    base: Sequence[Contents],
    new: Sequence[Contents],
    part_now: Mapping[int, int],
    forms: Callable[[Sequence[Contents]], Iterator[_Form | None]],
) -> tuple[list[_Told], dict[int, Counter[Interval]]]:
    """What each bar of the new score tells, and how much higher parts are then."""
    known: dict[Hashable, dict[_Form, int]] = defaultdict(dict)
    for bar, form in enumerate(forms(base)):
        if form:
            known[form.said].setdefault(form._replace(stated=False), bar)
    told = []
    heights: dict[int, Counter[Interval]] = defaultdict(Counter)
    for bar, form in enumerate(forms(new)):
        found = set()
        for other, before in known[form.said].items() if form else ():
            for by in form.moves_from(other) if form else ():
                found.add(by)
                if heights[by].total() < _ENOUGH:
                    heights[by].update(_heights(base, new, part_now, before, bar))
        weight = min(len(form.said), _MOST) if form else 0
        told.append(_Told(found, weight, _TURN // 2 if form and form.stated else _TURN))
    return told, heights


class _Told(NamedTuple):
    """What a bar of the new score tells.

    Attributes:
        moves: along the line of fifths, by which it may have come from a bar of the base.
        weight: notes that tell so.
        turn: what it costs to go on by another move from here.
    """

    moves: set[int]
    weight: int
    turn: int

    def against(self, by: int) -> int:
        """What speaks against a move; music that is in the base nowhere, against any."""
        if self.moves:
            return self.weight * (by not in self.moves)
        return int(bool(by and self.weight))


def _forms(parts: Sequence[Contents]) -> Iterator[_Form | None]:
    """Of each bar; None where nothing sounds."""
    key = int(DEFAULTS["key"])
    for bars in _columns(parts):
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


def _letters(parts: Sequence[Contents]) -> Iterator[_Form | None]:
    """The same by letters, as a change of mode leaves them."""
    for form, bars in zip(_forms(parts), _columns(parts), strict=True):
        if form is None:
            yield None
            continue
        notes = {
            (note.thing.at.onset, note.length, STEPS.index(note.pitch.step))
            for bar in bars
            for note in bar.notes
            if note.pitch and note.length
        }
        ways = [
            (sorted((onset, length, (step - low) % 7) for onset, length, step in notes), low)
            for low in range(len(STEPS))
        ]
        said, low = min(ways)
        yield form._replace(said=frozenset(said), at=low, in_letters=True)


def _columns(parts: Sequence[Contents]) -> Iterator[list[Bar]]:
    count = max((len(part.bars) for part in parts), default=0)
    for at in range(count):
        yield [part.bars[at] for part in parts if at < len(part.bars)]


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


def _steadiest(told: Sequence[_Told]) -> list[int]:
    """For each bar one of what is told: little is contradicted, and few turns are made."""
    often = Counter(by for one in told for by in one.moves)
    states = sorted({0, *often}, key=lambda by: (-often[by], abs(by), by))
    cost = dict.fromkeys(states, 0)
    came: list[dict[int, int]] = []
    for one in told:
        cheapest = min(states, key=cost.__getitem__)
        turned = cost[cheapest] + one.turn
        came.append({by: by if cost[by] <= turned else cheapest for by in states})
        cost = {by: min(cost[by], turned) + one.against(by) for by in states}
    by = min(states, key=cost.__getitem__)
    found = []
    for step in reversed(came):
        found.append(by)
        by = step[by]
    return found[::-1]
