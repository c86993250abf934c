"""Three scores side by side: as it was made, as somebody edited it, as it is made now."""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from rewriter.comparing.comparison import Sides, transposes
from rewriter.comparing.contents import UNMOVED, contents
from rewriter.comparing.difference import PartPair
from rewriter.comparing.known_bars import KnownBars
from rewriter.comparing.note_pairs import Paired, paired_notes
from rewriter.comparing.pairing import paired_parts
from rewriter.comparing.parts import NOTHING
from rewriter.merging.bars import Alignment, align
from rewriter.merging.moves import moves
from rewriter.merging.profiles import EXACTLY, profiles
from rewriter.musicxml.note_reading import serialised
from rewriter.scores.events import common_divisions, divisions_said
from rewriter.theory.fifths import interval_between

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from rewriter.comparing.contents import Contents
    from rewriter.comparing.difference import Difference
    from rewriter.comparing.things import Bar
    from rewriter.merging.profiles import Profile
    from rewriter.merging.reshaping import Shape
    from rewriter.scores.score import Part, Score
    from rewriter.theory.fifths import Interval


class Scores(NamedTuple):
    """What is merged.

    Attributes:
        base: as the tool made it.
        edited: as somebody has worked on it.
        new: as the tool makes it now.
    """

    base: Score
    edited: Score
    new: Score


class Three:
    """Three scores, read, their parts and bars found in each other.

    Attributes:
        scores: as they were read.
        divisions: of a quarter, in which all are counted.
        hand: base and edited, side by side.
        base: parts of the base as things.
        edited: of the edited score.
        new: of the new one.
        as_written: True where a program has lost the transposition of parts.
        part_now: parts of the base to parts of the new score.
    """

    def __init__(
        self,
        scores: Scores,
        by: Interval | Sequence[Interval] | None,
        given: Mapping[int, int] | None,
        *,
        with_breaks: bool,
    ) -> None:
        """Read them and find bars and parts.

        Args:
            scores: not changed.
            by: the new score is so much higher than the base; one for each of its bars where
                they differ; None to hear it.
            given: bars of the base to bars of the new score; found where not given.
            with_breaks: breaks of pages and systems count.

        Raises:
            ValueError: their lengths have no common division that music needs.
        """
        self.scores = scores
        self.with_breaks = with_breaks
        parts = [part for score in scores for part in score.parts]
        self.divisions = common_divisions(parts)
        self._known = KnownBars()
        self.base = self._read(scores.base, as_written=False)
        self.edited = self._read(scores.edited, as_written=False)
        self.new = self._read(scores.new, as_written=False, like=scores.base)
        pairs = paired_parts(scores.base, scores.edited)
        self.hand = self._hand(pairs)
        self.as_written = False
        self.edited_bars = self._aligned_by_hand(pairs)
        if transposes(scores.base) != transposes(scores.edited):
            self._choose_what_is_written(pairs)
        anew = paired_parts(scores.base, scores.new, by_place=False)
        self.part_now = {a: b for a, b in anew if a is not None and b is not None}
        self._by = moves(self.base, self.new, self.part_now) if by is None else by
        self.new_bars = self._aligned_anew() if given is None else _as_given(given)
        self._pairs: dict[tuple[int, int, int], Paired] = {}

    def _read(
        self, score: Score, *, as_written: bool, like: Score | None = None
    ) -> list[Contents]:
        """The parts of a score as things; what another has byte for byte is read once."""
        known = dict(zip(map(_bytes_of, like.parts), self.base, strict=True)) if like else {}
        return [
            known.get(_bytes_of(part)) or self._contents(part, UNMOVED, as_written=as_written)
            for part in score.parts
        ]

    def _contents(self, part: Part, by: Interval, *, as_written: bool) -> Contents:
        return contents(
            part, self.divisions, by,
            as_written=as_written, with_breaks=self.with_breaks, known=self._known,
        )  # fmt: skip

    def contents_of(self, part: Part) -> Contents:
        """A part of another score, read like those of the three."""
        return self._contents(part, UNMOVED, as_written=self.as_written)

    def _hand(self, pairs: list[PartPair]) -> Sides:
        base, edited, _ = self.scores
        return Sides(base, edited, pairs, self.divisions, self.base, self.edited)

    def _aligned_by_hand(self, pairs: Iterable[PartPair]) -> Alignment:
        both = [(one.a, one.b) for one in pairs if one.a is not None and one.b is not None]
        return align(
            profiles([self.base[a] for a, _ in both]),
            profiles([self.edited[b] for _, b in both]),
        )

    def _choose_what_is_written(self, pairs: list[PartPair]) -> None:
        """Compare as written where that finds less: a program has lost a transposition."""
        sounding = self.base, self.edited, self.new, self.hand, self.edited_bars
        found = len(self.hand.differences(self.edited_bars.bars))
        self.base, self.edited, self.new = (
            self._read(score, as_written=True) for score in self.scores
        )
        self.hand = self._hand(pairs)
        self.edited_bars = self._aligned_by_hand(pairs)
        self.as_written = len(self.hand.differences(self.edited_bars.bars)) < found
        if not self.as_written:
            self.base, self.edited, self.new, self.hand, self.edited_bars = sounding

    def _aligned_anew(self) -> Alignment:
        known = sorted(self.part_now.items())
        up = [self.by(bar).semitones for bar in range(self._count(self.new))]
        return align(
            self._profiles(self.base, [a for a, _ in known]),
            self._profiles(self.new, [b for _, b in known], [-one for one in up]),
        )

    def _profiles(
        self, parts: Sequence[Contents], known: Sequence[int], up: Sequence[float] = ()
    ) -> list[Profile]:
        others = [part for place, part in enumerate(parts) if place not in known]
        return profiles([parts[place] for place in known], up, others)

    def _count(self, parts: Sequence[Contents]) -> int:
        return max((len(part.bars) for part in parts), default=0)

    def by(self, bar: int) -> Interval:
        """How much higher a bar of the new score is than the one of the base it is.

        Args:
            bar: index in the new score.
        """
        if not self._by or isinstance(self._by[0], int):
            return self._by  # type: ignore[return-value]  # an interval is two numbers
        return self._by[bar] if bar < len(self._by) else UNMOVED  # type: ignore[return-value]

    def certain_now(self, made: int) -> int | None:
        """The bar of the new score that a bar of the edited one is; None where it is not known.

        Args:
            made: index in the edited score.
        """
        bar = self.made_of.get(made)
        if bar is None or bar in self.doubtful:
            return None
        return self.new_bars.certain.get(bar)

    def move(self, bar: int) -> Interval:
        """How much higher the new score really has a bar, in the key it is in.

        Args:
            bar: index in the base; the new score has it.
        """
        for base, moved in zip(self.base, self.moved, strict=True):
            if bar < len(base.bars):
                for one, two in zip(base.bars[bar].notes, moved.bars[bar].notes, strict=True):
                    if one.pitch and two.pitch:
                        return interval_between(one.pitch, two.pitch)
        return self.by(self.new_bars.bars[bar])

    @cached_property
    def made_of(self) -> dict[int, int]:
        """Bars of the edited score to those of the base they were."""
        return {b: a for a, b in self.edited_bars.bars.items()}

    @cached_property
    def moved(self) -> list[Contents]:
        """The parts of the base, each bar as high as it is in the new score."""
        moves = {a: self.by(b) for a, b in self.new_bars.bars.items()}
        found = {UNMOVED: self.base}
        for move in set(moves.values()) - {UNMOVED}:
            found[move] = [
                self._contents(part, move, as_written=self.as_written)
                for part in self.scores.base.parts
            ]
        return [
            part._replace(
                bars=[
                    found[moves.get(bar, UNMOVED)][place].bars[bar]
                    for bar in range(len(part.bars))
                ]
            )
            for place, part in enumerate(self.base)
        ]

    @cached_property
    def anew(self) -> Sides:
        """Base, as high as it is expected, and the new score, side by side."""
        pairs = [PartPair(a, b) for a, b in sorted(self.part_now.items())]
        base, _, new = self.scores
        return Sides(base, new, pairs, self.divisions, self.moved, self.new)

    @cached_property
    def changes(self) -> list[Difference]:
        """What the new score does not have like the base, in bars that are in both."""
        return self.anew.differences(self.new_bars.bars, self._written_otherwise)

    @cached_property
    def _written_otherwise(self) -> set[int]:
        """Bars of the base that the new score has not byte for byte in all parts.

        What begins in a bar and ends in such a one is not alike for certain.
        """
        base, _, new = self.scores
        pairs = [(base.parts[a], new.parts[b]) for a, b in self.part_now.items()]
        moved = any(self.by(bar) != UNMOVED for bar in self.new_bars.bars.values())
        if moved or any(_counts(one) != _counts(two) for one, two in pairs):
            return set(self.new_bars.bars)
        found = {
            a
            for a, b in self.new_bars.bars.items()
            if any(_bar_bytes(one, a) != _bar_bytes(two, b) for one, two in pairs)
        }
        steps = {a: b - a for a, b in self.new_bars.bars.items()}
        return found | {
            bar
            for part in self.base
            for bar, inside in enumerate(part.bars)
            for thing in inside.things
            if thing.until is not None
            and (thing.until.bar in found or steps.get(thing.until.bar) != steps.get(bar))
        }

    def bar(self, parts: Sequence[Contents], part: int, bar: int) -> Bar:
        """A bar of a part; nothing where the part has none."""
        bars = parts[part].bars
        return bars[bar] if 0 <= bar < len(bars) else NOTHING

    def made_length(self, bar: int) -> Fraction:
        """Quarters of a bar of the edited score."""
        lengths = [part.bars[bar].length for part in self.edited if bar < len(part.bars)]
        return Fraction(max(lengths, default=0), self.divisions)

    def length_of(self, shape: Shape, place: int) -> Fraction:
        """Quarters of a bar of the merged score.

        Args:
            shape: where its bars are.
            place: index of the bar.
        """
        made = next((made for made, where in shape.put.items() if where == place), None)
        if made is not None:
            return self.made_length(made)
        bar = next(bar for bar, where in shape.now.items() if where == place)
        lengths = [part.bars[bar].length for part in self.new if bar < len(part.bars)]
        return Fraction(max(lengths, default=0), self.divisions)

    def hand_pair(self, part: PartPair, bar: int) -> Paired:
        """The notes of a bar of the base and of the edited score.

        Args:
            part: both have it.
            bar: index in the base, which is in both.
        """
        key = 0, part.a or 0, bar
        if key not in self._pairs:
            self._pairs[key] = paired_notes(
                self.bar(self.base, part.a or 0, bar),
                self.bar(self.edited, part.b or 0, self.edited_bars.bars[bar]),
            )
        return self._pairs[key]

    def new_pair(self, part: int, bar: int) -> Paired:
        """The notes of a bar of the base, as high as expected, and of the new score.

        Args:
            part: index in the base; the new score has it.
            bar: index in the base, which is in both.
        """
        key = 1, part, bar
        if key not in self._pairs:
            self._pairs[key] = paired_notes(
                self.bar(self.moved, part, bar),
                self.bar(self.new, self.part_now[part], self.new_bars.bars[bar]),
            )
        return self._pairs[key]

    @cached_property
    def doubtful(self) -> set[int]:
        """Bars of the base of which nobody knows which bar of the edited score they are.

        Where the new score has the same bars in the same order, that does not matter.
        """
        doubtful = set()
        stretch: list[int] = []
        open_bars = set(self.edited_bars.candidates)
        open_bars |= set(range(self._count(self.base))) - self.edited_bars.bars.keys()
        for bar in range(self._count(self.base) + 1):
            if bar in open_bars:
                stretch.append(bar)
                continue
            if not self._stands_still(stretch):
                doubtful |= set(stretch) & self.edited_bars.candidates.keys()
            stretch = []
        return doubtful

    def _stands_still(self, stretch: Sequence[int]) -> bool:
        if not stretch:
            return True
        places = [self.new_bars.certain.get(bar) for bar in stretch]
        first = places[0]
        return first is not None and all(
            place == first + step and self._is_the_same(bar, first + step)
            for step, (bar, place) in enumerate(zip(stretch, places, strict=True))
        )

    def _is_the_same(self, bar: int, now: int) -> bool:
        one, two = self._all_profiles
        return one[bar].likeness(two[now]) == EXACTLY

    def has_the_same_tune(self, bar: int) -> bool:
        """True where the new score has the music of a bar, in whatever parts and octaves.

        Args:
            bar: index in the base.
        """
        now = self.new_bars.bars.get(bar)
        one, two = self._all_profiles
        return now is not None and one[bar].tune == two[now].tune

    @cached_property
    def _all_profiles(self) -> tuple[list[Profile], list[Profile]]:
        known = sorted(self.part_now.items())
        return (
            self._profiles(self.moved, [a for a, _ in known]),
            self._profiles(self.new, [b for _, b in known]),
        )


def _bytes_of(part: Part) -> tuple[bytes, ...]:
    """All that a part says, and what the part list says of it."""
    return serialised(part.entry), *part.bars


def _counts(part: Part) -> set[Fraction]:
    """The divisions a part counts in."""
    return set(divisions_said(part))


def _bar_bytes(part: Part, bar: int) -> bytes:
    return part.bars[bar].partition(b">")[2] if bar < len(part.bars) else b""


def _as_given(bars: Mapping[int, int]) -> Alignment:
    return Alignment(dict(sorted(bars.items())), {}, frozenset())
