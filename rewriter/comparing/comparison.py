"""Two scores compared as music: what differs, thing by thing, and what a program has lost."""

from __future__ import annotations

from collections import defaultdict
from functools import partial
from itertools import chain
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.contents import UNMOVED, Contents, contents
from rewriter.comparing.difference import Difference, Gone, PartPair
from rewriter.comparing.frame import Frame
from rewriter.comparing.matching import Placed, differences, placed
from rewriter.comparing.page_texts import page_texts_changed
from rewriter.comparing.pairing import paired_parts
from rewriter.comparing.parts import part_differences
from rewriter.comparing.things import (
    BAR_SIGNS,
    HEADING,
    STANDS_ONCE,
    Point,
    Thing,
    plain_text,
)  # fmt: skip
from rewriter.scores.events import common_divisions

if TYPE_CHECKING:
    from collections.abc import Container, Hashable, Iterable, Iterator, Mapping, Sequence

    from rewriter.comparing.things import Bar
    from rewriter.scores.score import Score
    from rewriter.theory.fifths import Interval

_NEVER_GONE: Final = frozenset(("length", "part name", "title"))
"""Kinds that cannot be lost, or that count whatever happened."""


class Comparison(NamedTuple):
    """What two scores do not have alike.

    Attributes:
        differences: in the order of bars and parts, without what is gone.
        gone: kinds of things that A has and B has nowhere.
        pairs: which parts were compared.
        divisions: of a quarter, in which places count.
        bars: indexes in A to indexes in B, of those that were compared.
        in_a: A's parts as things.
        in_b: B's.
    """

    differences: list[Difference]
    gone: list[Gone]
    pairs: list[PartPair]
    divisions: int
    bars: Mapping[int, int]
    in_a: list[Contents]
    in_b: list[Contents]

    @property
    def all(self) -> list[Difference]:
        """Every difference, those that are gone among them."""
        return [*self.differences, *chain.from_iterable(one.things for one in self.gone)]


def compare(
    a: Score,
    b: Score,
    *,
    pairs: Sequence[PartPair] | None = None,
    bars: Mapping[int, int] | None = None,
    by: Interval = UNMOVED,
    with_breaks: bool = False,
) -> Comparison:
    """Compare two scores as music.

    Args:
        a: a score.
        b: another.
        pairs: which parts answer to each other; by name, section and place where not given.
        bars: indexes in A to indexes in B, rising; one to one where not given.
        by: B is expected so much higher than A.
        with_breaks: breaks of pages and systems count.

    Raises:
        ValueError: their lengths have no common division that music needs.
    """
    pairs = list(paired_parts(a, b) if pairs is None else pairs)
    divisions = common_divisions((*a.parts, *b.parts))
    read = partial(_read, a, b, divisions, by=by, with_breaks=with_breaks)
    found = Sides(a, b, pairs, divisions, *read(as_written=False)).compared(bars)
    if transposes(a) != transposes(b):
        # Lost by a program, which left what is written; or shown at another pitch.
        written = Sides(a, b, pairs, divisions, *read(as_written=True)).compared(bars)
        found = min(found, written, key=lambda one: len(one.all))
    return found


def transposes(score: Score) -> bool:
    """True where a part of it sounds elsewhere than it is written."""
    return any(part.having(b"<transpose") for part in score.parts)


def _read(
    a: Score, b: Score, divisions: int, *, by: Interval, as_written: bool, with_breaks: bool
) -> list[list[Contents]]:
    return [
        [
            contents(part, divisions, move, as_written=as_written, with_breaks=with_breaks)
            for part in parts
        ]
        for parts, move in ((a.parts, by), (b.parts, UNMOVED))
    ]


class Sides(NamedTuple):
    """Two scores, read, and laid side by side.

    Attributes:
        a: a score.
        b: another.
        pairs: which parts answer to each other.
        divisions: of a quarter, in which both were read.
        in_a: its parts, read.
        in_b: likewise.
    """

    a: Score
    b: Score
    pairs: list[PartPair]
    divisions: int
    in_a: list[Contents]
    in_b: list[Contents]

    @property
    def counts(self) -> tuple[int, int]:
        """How many bars each has."""
        one, two = (
            max((len(one.bars) for one in parts), default=0) for parts in (self.in_a, self.in_b)
        )
        return one, two

    def frame(self, bars: Mapping[int, int]) -> Frame:
        """Their bars on one line of time.

        Args:
            bars: indexes in A to indexes in B.
        """
        return Frame(bars, _lengths(self.in_a, self.in_b, bars, self.counts[0]))

    def compared(self, bars: Mapping[int, int] | None = None) -> Comparison:
        """What they do not have alike, in order, and what a program has lost.

        Args:
            bars: indexes in A to indexes in B; one to one where not given.
        """
        if bars is None:
            bars = {bar: bar for bar in range(min(self.counts))}
        frame = self.frame(bars)
        told = _told_once(self.differences(bars), self.pairs)
        found, gone = without_gone(sorted(told, key=lambda one: _order(one, frame)), self)
        return Comparison(found, gone, self.pairs, self.divisions, bars, self.in_a, self.in_b)

    def differences(
        self, bars: Mapping[int, int], within: Container[int] | None = None
    ) -> list[Difference]:
        """What they do not have alike, in no order, what all parts have alike in each of them.

        Args:
            bars: indexes in A to indexes in B.
            within: indexes in A of the bars that are looked into; all where not given.
        """
        frame = self.frame(bars)
        found = list(_of_bars(bars, *self.counts))
        found += _of_headings(_titles(self.a), _titles(self.b), None)
        found += _of_headings(*page_texts_changed(self.a, self.b), None)
        for pair in self.pairs:
            if pair.a is None or pair.b is None:
                found.append(_alone(self.a, self.b, pair))
                continue
            one, two = self.in_a[pair.a], self.in_b[pair.b]
            found += _of_headings(one.heading, two.heading, pair)
            found += part_differences(one, two, frame, pair, within=within)
        found += differences(
            _standing_once(self.in_a, frame, in_b=False),
            _standing_once(self.in_b, frame, in_b=True),
            None,
        )
        return found


def _lengths(
    a: Iterable[Contents], b: Iterable[Contents], bars: Mapping[int, int], count: int
) -> list[int]:
    """How long A's bars are: as long as any part's in either score."""
    lengths = [0] * count
    for part in a:
        for place, bar in enumerate(part.bars):
            lengths[place] = max(lengths[place], bar.length)
    for part in b:
        for one, two in bars.items():
            if two < len(part.bars):
                lengths[one] = max(lengths[one], part.bars[two].length)
    return lengths


def _of_bars(bars: Mapping[int, int], of_a: int, of_b: int) -> Iterator[Difference]:
    """Bars that answer to none."""
    for bar in sorted(set(range(of_a)) - bars.keys()):
        yield Difference("bar", None, Thing("bar", "", Point(bar)), None)
    for bar in sorted(set(range(of_b)) - set(bars.values())):
        yield Difference("bar", None, None, Thing("bar", "", Point(bar)))


def _alone(a: Score, b: Score, pair: PartPair) -> Difference:
    """A part that has no partner."""
    one, two = (
        Thing("part", score.parts[place].name, Point(HEADING)) if place is not None else None
        for score, place in ((a, pair.a), (b, pair.b))
    )
    return Difference("part", pair, one, two)


def _titles(score: Score) -> list[Thing]:
    """Titles and names of people, wherever programs put them."""
    header = score.header
    titles = {
        plain_text(header.findtext(path)) for path in ("movement-title", "work/work-title")
    }
    people = [
        f"{one.get('type', 'composer')}: {plain_text(one.text)}"
        for one in header.iterfind("identification/creator")
        if plain_text(one.text)
    ]
    at = Point(HEADING)
    return [
        *(Thing("title", title, at) for title in sorted(filter(None, titles))),
        *(Thing("creator", said, at) for said in sorted(people)),
    ]


def _of_headings(
    a: Iterable[Thing], b: Iterable[Thing], part: PartPair | None
) -> Iterator[Difference]:
    heaps = [
        [Placed(thing, HEADING, 0, None, "", 0) for thing in heading] for heading in (a, b)
    ]
    yield from differences(heaps[0], heaps[1], part)


def _standing_once(parts: Iterable[Contents], frame: Frame, *, in_b: bool) -> list[Placed]:
    """What belongs to the whole score, once, in however many parts it stands."""
    known = set(frame.bars.values() if in_b else frame.bars)
    found: dict[Hashable, list[Placed]] = defaultdict(list)
    for part in parts:
        for bar in part.bars:
            for thing in bar.things:
                if thing.kind in STANDS_ONCE and thing.at.bar in known:
                    place = placed(
                        thing._replace(staff="", voice=""),
                        frame, in_b=in_b, voices={}, beat=bar.beat,
                    )  # fmt: skip
                    same = found[thing.kind, thing.what]
                    if not any(abs(one.time - place.time) <= one.near for one in same):
                        same.append(place)
    return list(chain.from_iterable(found.values()))


def _told_once(found: Iterable[Difference], pairs: Iterable[PartPair]) -> Iterator[Difference]:
    """Differences, those that all parts have alike once for all."""
    for group in told_together(found, pairs):
        yield group[0]._replace(part=None) if len(group) > 1 else group[0]


def told_together(
    found: Iterable[Difference], pairs: Iterable[PartPair]
) -> Iterator[list[Difference]]:
    """Differences one by one, those that all parts have alike together.

    Args:
        found: what differs.
        pairs: the parts.
    """
    everywhere = {pair for pair in pairs if None not in pair}
    groups: dict[Hashable, list[Difference]] = defaultdict(list)
    for one in found:
        key: Hashable = (one.kind, *(_said(thing) for thing in (one.a, one.b)))
        groups[key if one.kind in BAR_SIGNS else id(one)].append(one)
    for group in groups.values():
        if len(everywhere) > 1 and {one.part for one in group} == everywhere:
            yield group
        else:
            yield from ([one] for one in group)


def _said(thing: Thing | None) -> Hashable:
    return thing and (thing.what, thing.at, thing.until)


def _order(one: Difference, frame: Frame) -> tuple[object, ...]:
    """By A's bars, and those of B where they would be."""
    at = one.at if one.a else one.at._replace(bar=frame.bar_of_b(one.at.bar))
    part = one.part or PartPair(-1, -1)
    said = [(thing.what if thing else "") for thing in (one.a, one.b)]
    return at, [place if place is not None else -1 for place in part], one.kind, said


def _kinds_among(kinds: set[str], parts: Iterable[Contents]) -> set[str]:
    """Those of some kinds that there are; of voices, a staff that has several in a bar."""
    left = kinds - {thing.kind for part in parts for thing in part.heading}
    for bar in chain.from_iterable(part.bars for part in parts):
        if not left:
            break
        left -= {thing.kind for thing in bar.things}
        if "voice" in left and _has_several_voices(bar):
            left.discard("voice")
        for note in bar.notes:
            if not left.isdisjoint(note.says):
                left -= note.says.keys()
    return kinds - left


def _has_several_voices(bar: Bar) -> bool:
    voices = {(note.thing.staff, note.thing.voice) for note in bar.notes}
    return len(voices) > len({staff for staff, _ in voices})


def without_gone(
    found: Sequence[Difference], sides: Sides
) -> tuple[list[Difference], list[Gone]]:
    """Differences, and apart from them those of kinds that B has nowhere.

    Args:
        found: what differs.
        sides: between what.
    """
    kinds = {one.kind for one in found} - _NEVER_GONE
    lost = _kinds_among(kinds - _kinds_among(kinds, sides.in_b), sides.in_a)
    gone: dict[str, list[Difference]] = defaultdict(list)
    rest: list[Difference] = []
    for one in found:
        (gone[one.kind] if one.kind in lost else rest).append(one)
    return rest, [Gone(kind, tuple(things)) for kind, things in sorted(gone.items())]
