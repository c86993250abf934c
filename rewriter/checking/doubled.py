"""Where lines that double each other do not say the same: who differs, once a stretch."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from typing import TYPE_CHECKING, Annotated, NamedTuple

from msgspec import Meta

from rewriter.checking.rule import Parameters
from rewriter.hearing.disagreements import in_notes
from rewriter.hearing.mark_disagreements import MarkedDoublings

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.hearing.disagreements import Disagreement, Kind, Said
    from rewriter.hearing.doublings import Doubling
    from rewriter.hearing.lines import Place


class Led(Parameters, frozen=True):
    """Whose way it is."""

    leading: Annotated[
        str,
        Meta(
            description="section whose way the others take; empty for the house's `leading`, "
            "and where it has none, for what most of those have that double each other"
        ),
    ] = ""


class Saying(NamedTuple):
    """What some of the lines say.

    Attributes:
        lines: that say it, in score order.
        said: as one of them says it; empty for nothing.
    """

    lines: tuple[Place, ...]
    said: tuple[Said, ...]


class Disagreeing(NamedTuple):
    """Lines that double each other and do not say the same at a moment.

    Attributes:
        time: divisions from the start of the piece.
        kind: in what.
        sayings: at least two, by their first lines.
    """

    time: int
    kind: Kind
    sayings: tuple[Saying, ...]

    def leading(self, score: Finished, section: str) -> Saying | None:
        """What the others should say; None where nothing tells.

        Args:
            score: it is in.
            section: key of the section that leads; empty for none.
        """
        for saying in self.sayings if section else ():
            if any(section in keys_of(score, line) for line in saying.lines):
                return saying
        first, second, *_ = sorted(self.sayings, key=lambda one: -len(one.lines))
        return first if len(first.lines) > len(second.lines) else None


class Unlike(NamedTuple):
    """A line that does not say what others say that it doubles, bar after bar.

    Attributes:
        line: which.
        others: those it is held against.
        led: True where the others' way is to be taken; else nobody knows which is right.
        moments: in the order of time, each what the line says and what the others do.
    """

    line: Place
    others: tuple[Place, ...]
    led: bool
    moments: tuple[Moment, ...]


class Moment(NamedTuple):
    """What is said at a moment.

    Attributes:
        time: divisions from the start of the piece.
        kind: of what is said.
        own: what the line says; empty for nothing.
        theirs: what the others do.
    """

    time: int
    kind: Kind
    own: tuple[Said, ...]
    theirs: tuple[Said, ...]


def keys_of(score: Finished, line: Place) -> list[str]:
    """Keys of the sections that play a line."""
    return [section.key for section in score.players[line.part].sections]


def unlike(
    score: Finished, found: Iterable[Disagreeing], kinds: Container[Kind], leading: str
) -> Iterator[Unlike]:
    """Who differs from whom; one in bars that follow each other is told once.

    Args:
        score: it is in.
        found: disagreements, in the order of time.
        kinds: that count.
        leading: key of the section that leads; empty for none.
    """
    open_ones: dict[tuple[Place, tuple[Place, ...], bool, Kind], tuple[int, list[Moment]]] = {}
    for one in found:
        if one.kind not in kinds:
            continue
        right = one.leading(score, leading)
        against = right or one.sayings[0]
        bar = score.heard.bars.bar_at(one.time)
        for saying in one.sayings:
            if saying is against:
                continue
            moment = Moment(one.time, one.kind, saying.said, against.said)
            for line in saying.lines:
                if leading in keys_of(score, line):
                    continue
                key = line, against.lines, right is not None, one.kind
                before = open_ones.get(key)
                if before and bar <= before[0] + 1:
                    before[1].append(moment)
                    open_ones[key] = bar, before[1]
                    continue
                if before:
                    yield Unlike(*key[:3], tuple(before[1]))
                open_ones[key] = bar, [moment]
    for key, (_, moments) in open_ones.items():
        yield Unlike(*key[:3], tuple(moments))


class Disagreements:
    """Gathers what doubling lines of a score do not say alike, when it is first asked."""

    def __init__(self, score: Finished) -> None:
        """Gather nothing yet.

        Args:
            score: looked at.
        """
        self._score = score
        self._notes: dict[bool, list[Disagreeing]] = {}
        self._of_each: list[tuple[Doubling, list[Disagreement]]] = []
        self._marks: list[Disagreeing] | None = None

    def in_notes(self, *, of_all: bool = False) -> list[Disagreeing]:
        """In pitch, rhythm, spelling, in the order of time.

        Args:
            of_all: True for lines of winds and of one part too; else of sections.
        """
        if of_all not in self._notes:
            if not self._of_each:
                self._of_each = [(one, in_notes(one)) for one in self._score.doublings]
            doublings = self._score.doublings if of_all else self._of_sections()
            asked = {id(one) for one in doublings}
            pairs = (
                (one, found)
                for one, every in self._of_each
                if id(one) in asked
                for found in every
            )
            self._notes[of_all] = _Groups(doublings).gathered(pairs)
        return self._notes[of_all]

    def in_marks(self) -> list[Disagreeing]:
        """In marks, of sections in parts of their own: winds breathe where nobody bows.

        Notes of other lengths are marked otherwise by right.
        """
        if self._marks is None:
            marked = MarkedDoublings(self._score.heard)
            doublings = self._of_sections()
            self._marks = _Groups(doublings).gathered(
                (one, found)
                for one in doublings
                for found in _without_other_lengths(one, marked.disagreements(one))
            )
        return self._marks

    def _of_sections(self) -> list[Doubling]:
        of_sections = frozenset(self._score.of_sections)
        return [
            one
            for one in self._score.doublings
            if one.upper.part != one.lower.part
            and {one.upper.part, one.lower.part} <= of_sections
        ]


def _without_other_lengths(
    doubling: Doubling, found: Iterable[Disagreement]
) -> Iterator[Disagreement]:
    other = {one.time for one, two in doubling.agreeing if one.end != two.end}
    return (one for one in found if one.time not in other)


class _Groups:
    """Doublings by time."""

    def __init__(self, doublings: Sequence[Doubling]) -> None:
        self._doublings = doublings  # in the order in which they begin
        self._starts = [one.start for one in doublings]
        self._longest = max((one.stop - one.start for one in doublings), default=0)

    def at(self, time: int) -> list[Doubling]:
        """Those in which some moment is."""
        first = bisect_right(self._starts, time - self._longest - 1)
        last = bisect_right(self._starts, time)
        return [one for one in self._doublings[first:last] if time <= one.stop]

    def gathered(self, pairs: Iterable[tuple[Doubling, Disagreement]]) -> list[Disagreeing]:
        """Disagreements of two lines each made those of all that hang together."""
        by_key: dict[tuple[int, Kind], list[tuple[Doubling, Disagreement]]] = defaultdict(list)
        for doubling, found in pairs:
            by_key[found.time, found.kind].append((doubling, found))
        return [one for key in sorted(by_key) for one in self._together(*key, by_key[key])]

    def _together(
        self, time: int, kind: Kind, found: Sequence[tuple[Doubling, Disagreement]]
    ) -> Iterator[Disagreeing]:
        said: dict[Place, tuple[Said, ...]] = {}
        for one, disagreement in found:
            said.setdefault(one.upper, disagreement.upper)
            said.setdefault(one.lower, disagreement.lower)
        apart = {(one.upper, one.lower) for one, _ in found}
        there = {(one.upper, one.lower) for one in self.at(time)}
        alike = _joined(there - apart)
        for lines in _joined(there | apart):
            if lines.isdisjoint(said):
                continue
            classes = [one for one in alike if one <= lines]
            classes += [{one} for one in lines if not any(one in group for group in classes)]
            if len(classes) > 1:
                sayings = sorted(_saying(one, said) for one in classes)
                yield Disagreeing(time, kind, tuple(sayings))


def _saying(lines: Iterable[Place], said: dict[Place, tuple[Said, ...]]) -> Saying:
    ordered = sorted(lines)
    return Saying(tuple(ordered), next((said[line] for line in ordered if line in said), ()))


def _joined(pairs: Iterable[tuple[Place, Place]]) -> list[set[Place]]:
    """Lines that hang together by pairs."""
    groups: list[set[Place]] = []
    for pair in pairs:
        own = set(pair)
        apart = [group for group in groups if not group & own]
        groups = [*apart, own.union(*(group for group in groups if group & own))]
    return groups
