"""From two scores that were compared to what is said of it."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

from rewriter.comparing.places import ScorePlaces
from rewriter.comparing.thing_words import thing_said, unsaid
from rewriter.problems import Place
from rewriter.reporting.changed_bars import changed_bars, changed_pages, pages_of
from rewriter.reporting.columns import bar_runs
from rewriter.reporting.differences import (
    ChangedPage,
    ChangedPart,
    Differences,
    Lost,
    Stands,
    Told,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.comparing.comparison import Comparison
    from rewriter.comparing.difference import Difference, PartPair
    from rewriter.comparing.things import Thing
    from rewriter.scores.score import Score


def differences_of(
    a: Score, b: Score, found: Comparison, *, with_breaks: bool = False
) -> Differences:
    """All that two scores do not have alike.

    Args:
        a: the first.
        b: the second.
        found: what was found.
        with_breaks: which bars a page holds counts.
    """
    return _Telling(a, b, found).differences(with_breaks=with_breaks)


class _Telling:
    """Two scores and what was found."""

    def __init__(self, a: Score, b: Score, found: Comparison) -> None:
        self._a, self._b, self._found = a, b, found
        self._in_a = ScorePlaces(a, found.in_a, found.divisions)
        self._in_b = ScorePlaces(b, found.in_b, found.divisions)
        self._bars_of_b = {two: one for one, two in found.bars.items()}
        names = Counter(map(self._plain_name, found.pairs))
        self._twice = {name for name, times in names.items() if times > 1}

    def differences(self, *, with_breaks: bool) -> Differences:
        found = self._found
        changed = {pair: changed_bars(found, pair) for pair in found.pairs}
        pages = pages_of(self._b)
        held = pages_of(self._a) if with_breaks else []
        again = changed_pages(found, held, pages, set().union(*changed.values()))
        return Differences(
            a=self._a.name,
            b=self._b.name,
            differences=[self._told(one) for one in found.differences],
            lost=[Lost(kind=gone.kind, number=len(gone.things)) for gone in found.gone],
            changed_parts=list(self._changed_parts(changed)),
            changed_pages=[
                ChangedPage(page=page.number, bars=self._run(page.first, page.last))
                for page in again
            ],
            pages=len(pages),
        )

    def _run(self, first: int, last: int) -> str:
        ends = self._in_b.number(first), self._in_b.number(last)
        return ends[0] if first == last else "-".join(ends)

    def _changed_parts(self, changed: dict[PartPair, set[int]]) -> Iterator[ChangedPart]:
        named = {one.part for one in self._found.all}
        for pair, bars in changed.items():
            if not (bars or pair in named):
                continue
            of_b = pair.b is not None
            part = (self._b.parts if of_b else self._a.parts)[
                pair.b if pair.b is not None else pair.a or 0
            ]
            runs = bar_runs(sorted(bars), self._in_b.number)
            yield ChangedPart(part=self._name(pair), id=part.id, bars=runs)

    def _plain_name(self, pair: PartPair) -> str:
        if pair.a is not None:
            return self._a.parts[pair.a].name
        return self._b.parts[pair.b].name if pair.b is not None else ""

    def _name(self, pair: PartPair | None) -> str:
        """The name of a part; with its id where two have the same."""
        if pair is None:
            return ""
        name = self._plain_name(pair)
        if name not in self._twice:
            return name
        part = self._a.parts[pair.a] if pair.a is not None else self._b.parts[pair.b or 0]
        return f"{name} ({part.id})"

    def _told(self, one: Difference) -> Told:
        pair = one.part
        was = self._stands(one.a, self._in_a, pair.a if pair else None)
        now = self._stands(one.b, self._in_b, pair.b if pair else None)
        return Told(
            kind=one.kind,
            part=self._name(pair),
            place=was.place if was else self._place_in_a(one, pair),
            was=was,
            now=now,
            text=sentence(one.kind, was, now),
        )

    def _place_in_a(self, one: Difference, pair: PartPair | None) -> Place:
        """Where something stands that only B has."""
        bar = self._bars_of_b.get(one.at.bar)
        if bar is None:
            return self._in_b.at(one.at, pair.b if pair else None)
        return self._in_a.at(one.at._replace(bar=bar), pair.a if pair else None)

    @staticmethod
    def _stands(thing: Thing | None, places: ScorePlaces, part: int | None) -> Stands | None:
        if thing is None:
            return None
        return Stands(
            says=thing_said(thing.kind, thing.what),
            place=places.at(thing.at, part, thing.voice),
            staff=thing.staff,
            until=places.at(thing.until, part, thing.voice) if thing.until else None,
        )


def sentence(kind: str, was: Stands | None, now: Stands | None) -> str:
    """What is not alike, without the place: ``pitch was F5, is E5``.

    Args:
        kind: of thing.
        was: None where the first score has nothing.
        now: None where the second has nothing.
    """
    usual = unsaid(kind)
    said = [there.says or usual if there else usual for there in (was, now)]
    if was and now:
        return f"{kind} {_both(was, now, said)}"
    if usual and kind in _ON_EVERY_NOTE:
        return f"{kind} was {said[0]}, is {said[1]}"
    there = was or now
    words = [kind]
    if there:
        words += [there.says] * (there.says != kind) + [_until(there)] * bool(there.until)
    return f"{' '.join(filter(None, words))} is {'gone' if was else 'new'}"


def _both(was: Stands, now: Stands, said: Sequence[str]) -> str:
    """In what two partners are unlike."""
    what = f"{was.says} " if was.says and said[0] == said[1] else ""
    pairs = (
        ("{}", said),
        ("{}", [_until(was), _until(now)]),
        ("from {}", [_where(each.place) if each.until else "" for each in (was, now)]),
        ("in voice {}", [was.place.voice, now.place.voice]),
        ("on staff {}", [was.staff, now.staff]),
    )
    for form, (one, two) in pairs:
        if one != two:
            return f"{what}was {form.format(one)}, is {form.format(two)}"
    return f"{what}is not at the same place"


_ON_EVERY_NOTE: Final = frozenset(("notehead", "staff"))


def _until(there: Stands) -> str:
    if there.until is None:
        return "without an end"
    if there.until.bar_counted == there.place.bar_counted:
        return f"to {Place(beat=there.until.beat).text}"
    return f"to {_where(there.until)}"


def _where(place: Place) -> str:
    return Place(movement=place.movement, bar=place.bar, beat=place.beat).text
