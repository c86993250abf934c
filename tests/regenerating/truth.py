"""What has to be true of a merge, held against what hands and composers really did."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from lxml import etree

from rewriter.comparing.comparison import compare
from rewriter.comparing.contents import UNMOVED
from rewriter.merging.edits import OF_NOTES
from rewriter.merging.merge import merge
from rewriter.merging.three import Scores, Three
from rewriter.scores.score import Score, read_score

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.merging.results import Merged

LISTS = ("carried", "restored", "conflicts", "ambiguous", "dropped")
_NOT_THERE = ("conflicts", "ambiguous", "dropped", "restored")
_STANDING = frozenset(("clef", "key", "metre", "transposition", "staff lines"))
_OF_ALL = frozenset(("bar", "part", "title", "creator", "name", "abbreviation"))


class Case(NamedTuple):
    """A merge and what is known about it.

    Attributes:
        base: as it was made.
        hand: as somebody has left it, bars named by ``id="was-PART-INDEX"`` unless ``saved``.
        saved: the same as a program has saved it.
        new: as it is made now.
        was: for each bar of the new score, the bar of the base it is; None for a new one.
    """

    base: bytes
    hand: bytes
    saved: bytes
    new: bytes
    was: list[int | None]


class Tried(NamedTuple):
    """What came of it.

    Attributes:
        merged: the result.
        troubles: what is not as it has to be, in words.
        counts: edits by what became of them.
    """

    merged: Merged
    troubles: list[str]
    counts: dict[str, int]


def tried(case: Case) -> Tried:
    """Merge, and hold the result against what is known."""
    base, saved, new = (read_score(data) for data in (case.base, case.saved, case.new))
    merged = merge(base, saved, new, by=None)
    three = Three(Scores(base, saved, new), None, None, with_breaks=False)
    troubles = [
        *_counted(merged),
        *wrong_bars(three, case),
        *lost(three, merged),
    ]
    if not merged.found and merged.score != case.new:
        troubles.append("nothing was edited, and it is no fresh expansion")
    counts = {name: sum(e.count for e in getattr(merged, name)) for name in LISTS}
    return Tried(merged, troubles, counts | {"found": merged.found})


def _counted(merged: Merged) -> Iterator[str]:
    total = sum(one.count for name in LISTS for one in getattr(merged, name))
    if total != merged.found:
        yield f"{merged.found} edits found, {total} accounted for"


def wrong_bars(three: Three, case: Case) -> Iterator[str]:
    """Bars that are taken for others, and not told to be in doubt."""
    went = {was: place for place, was in enumerate(case.was) if was is not None}
    for bar, place in three.new_bars.certain.items():
        if bar not in three.new_bars.unlike and went.get(bar) != place:
            yield f"bar {bar} of the base, now {went.get(bar)}, is taken for {place}"
    part = etree.fromstring(case.hand).find("part")
    names = [bar.get("id", "").rpartition("-")[2] for bar in part.findall("measure")]  # type: ignore[union-attr]
    for bar, made in three.edited_bars.certain.items():
        if bar in three.doubtful or bar in three.edited_bars.unlike:
            continue
        if names[made] != str(bar):
            yield f"bar {bar} of the base is taken for {made} by hand, once {names[made]}"


def lost(three: Three, merged: Merged) -> Iterator[str]:
    """Differences of edited score and result that neither the sketch nor a list explains."""
    _base, hand, new = three.scores
    made, now = three.edited_bars.bars, three.new_bars.bars
    by = three.by(0)
    if any(three.by(bar) != by for bar in range(len(_numbers(new)))):
        return  # passages in keys of their own: these are compared by hand-written cases
    result = read_score(merged.score)
    shape = _places(new, result)
    both = {
        made[bar]: shape[place]
        for bar, place in three.new_bars.certain.items()
        if bar in made and place in shape
    }
    theirs = {
        _key(one.kind, one.at.bar if one.a else _back(now, one.at.bar)) for one in three.changes
    }
    told = {
        (one.kind, one.place.bar_counted - 1)
        for name in _NOT_THERE
        for one in getattr(merged, name)
    }
    restored = {one.kind for one in merged.restored}
    metres = any(one.kind == "metre" for one in three.changes)
    was = {b: a for a, b in made.items()}
    seen = set(both), set(both.values())
    for one in compare(hand, result, bars=both, by=by).all:
        kind = "notes" if one.kind in OF_NOTES else one.kind
        bar = was.get(one.at.bar if one.a else _back(both, one.at.bar), one.at.bar)
        places = (
            {one.at.bar, both.get(one.at.bar)}
            if one.a
            else {one.at.bar, _back(both, one.at.bar)}
        )
        if kind in _OF_ALL or kind in restored or (kind, bar) in theirs:
            continue
        if one.kind == "beam" and metres:  # it is read by the metre
            continue
        if kind == "fermata" and ("notes", bar) in theirs:  # it stands on the notes there are
            continue
        if one.kind == "accidental" and by != UNMOVED:  # in another key it is another sign
            continue
        if kind in _STANDING and not {one.at.bar, one.at.bar - 1} <= seen[one.a is None]:
            continue  # it is said again behind bars that were cut or put in
        if not any((kind, place) in told for place in places):
            yield f"{kind} in bar {one.at.bar} is lost: {one}"


def _numbers(score: Score) -> list[str]:
    """Printed numbers of a score's bars."""
    return max((part.numbers for part in score.parts), key=len, default=[])


def _key(kind: str, bar: int | None) -> tuple[str, int | None]:
    return ("notes" if kind in OF_NOTES else kind), bar


def _back(bars: dict[int, int], bar: int) -> int:
    return next((a for a, b in bars.items() if b == bar), -1)


def _places(new: Score, result: Score) -> dict[int, int]:
    """Where bars of the new score are in the result, known by their printed numbers."""
    numbers = _numbers(result)
    where = {name: place for place, name in enumerate(numbers)}
    return {place: where[name] for place, name in enumerate(_numbers(new)) if name in where}
