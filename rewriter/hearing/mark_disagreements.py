"""Where lines that double each other are marked differently: bows, articulations, dynamics.

It takes some looking and most who ask for doublings do not ask for it, so it is asked for
doubling by doubling.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.hearing.disagreements import Disagreement, Said
from rewriter.hearing.marks import InForce, PartMarks
from rewriter.theory.phrases import are_same, plain_words
from rewriter.theory.techniques import ORDINARY

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from rewriter.hearing.disagreements import MarkKind
    from rewriter.hearing.doublings import Doubling
    from rewriter.hearing.lines import Heard, Place

_KINDS_AT_NOTES: Final[tuple[MarkKind, ...]] = (
    "articulation", "ornament", "bowing", "technique",
)  # fmt: skip


class MarkedDoublings:
    """Asks the doublings of a score for their disagreements in marks."""

    def __init__(self, heard: Heard) -> None:
        """Look at nothing yet.

        Args:
            heard: the score.
        """
        self._heard = heard
        self._parts = [PartMarks(heard, part) for part in range(len(heard.voices))]

    def disagreements(self, doubling: Doubling) -> list[Disagreement]:
        """The disagreements of a doubling in marks, in the order of time.

        Slurs and hairpins count that lie within it; dynamics and techniques by what is in
        force, since nobody is told twice; accents and words within half a beat, since
        engravers move them. Lines of one voice, and lines on one staff, agree in what they
        share.

        Args:
            doubling: of this score.
        """
        two = _Two(self._of(doubling.upper), self._of(doubling.lower), doubling)
        half = self._heard.bars.beats[self._heard.bars.bar_at(doubling.start)] / 2
        found = [*two.at_notes(), *two.slurs(), *two.hairpins(half), *two.beside(half)]
        for kind in ("dynamic", *ORDINARY):
            found += two.in_force(kind, half)
        return sorted(found, key=lambda one: (one.time, one.kind))

    def _of(self, place: Place) -> _Line:
        return _Line(self._parts[place.part], place.voice)


class _Line(NamedTuple):
    """A voice and the marks of its part."""

    marks: PartMarks
    voice: int


class _Two(NamedTuple):
    """Both lines of a doubling."""

    upper: _Line
    lower: _Line
    doubling: Doubling

    def at_notes(self) -> Iterator[Disagreement]:
        uppers, lowers = (one.marks.at_notes(one.voice) for one in (self.upper, self.lower))
        for note, _ in self.doubling.agreeing:
            upper, lower = (
                signs.get(note.time, frozenset()) - other.get(note.time, frozenset())
                for signs, other in ((uppers, lowers), (lowers, uppers))
            )
            for kind in _KINDS_AT_NOTES if upper or lower else ():
                own, others = (
                    tuple(Said(s.what, note.time, note.time) for s in sorted(signs)
                          if s.kind == kind) for signs in (upper, lower)
                )  # fmt: skip
                if own or others:
                    yield Disagreement(kind, note.time, own, others)

    def slurs(self) -> Iterator[Disagreement]:
        own, others = (self._within(one.marks.slurs(one.voice)) for one in self._both)
        return _apart("slur", own, others, lambda one, other: one == other)

    def hairpins(self, half: float) -> Iterator[Disagreement]:
        """Those that begin and end elsewhere than within half a beat."""

        def alike(one: Said, other: Said) -> bool:
            ends = abs(one.time - other.time), abs(one.until - other.until)
            return one.what == other.what and max(ends) <= half

        own, others = (self._within(one.marks.hairpins(one.voice)) for one in self._both)
        return _apart("hairpin", own, others, alike)

    def beside(self, half: float) -> Iterator[Disagreement]:
        """Accents such as sf, and words of expression."""

        def alike(one: Said, other: Said) -> bool:
            same = are_same(plain_words(one.what), plain_words(other.what))
            return same and abs(one.time - other.time) <= half

        kinds: tuple[MarkKind, ...] = ("dynamic", "words")
        for kind in kinds:
            own, others = (
                self._within(one.marks.beside(one.voice, kind)) for one in self._both
            )
            yield from _apart(kind, own, others, alike)

    def in_force(self, kind: str, half: float) -> Iterator[Disagreement]:
        """Stretches of more than half a beat in which other things are in force."""
        own, others = (_Holding(one.marks.told(one.voice, kind), kind) for one in self._both)
        start, stop = self.doubling.start, self.doubling.stop
        times = own.times_within(start, stop) | others.times_within(start, stop)
        since: tuple[int, InForce, InForce] | None = None
        for time in sorted({start, stop, *times}):
            upper, lower = own.at(time), others.at(time)
            known = bool(upper.value and lower.value)
            differ = known and upper.value != lower.value and time < stop
            if since is not None and not differ:
                if time - since[0] > half:
                    yield _holding(kind, since, time)
                since = None
            elif differ and since is None:
                since = time, upper, lower

    @property
    def _both(self) -> tuple[_Line, _Line]:
        return self.upper, self.lower

    def _within(self, said: Sequence[Said]) -> list[Said]:
        start, stop = self.doubling.start, self.doubling.stop
        first, last = (
            bisect_left(said, time, key=lambda one: one.time) for time in (start, stop)
        )
        return [one for one in said[first:last] if one.until <= stop]


class _Holding:
    """What is in force of a kind, moment by moment."""

    def __init__(self, told: Sequence[InForce], kind: str) -> None:
        self._told = told
        ordinary = ORDINARY.get(kind, "")
        self._before = InForce(kind, 0, "", ordinary, ordinary)

    def times_within(self, start: int, stop: int) -> set[int]:
        """When something is told between two moments."""
        first = bisect_right(self._told, start, key=lambda one: one.time)
        last = bisect_left(self._told, stop, key=lambda one: one.time)
        return {one.time for one in self._told[first:last]}

    def at(self, time: int) -> InForce:
        """What is in force at a moment; what is told there counts."""
        place = bisect_right(self._told, time, key=lambda one: one.time)
        return self._told[place - 1] if place else self._before


def _holding(kind: str, since: tuple[int, InForce, InForce], until: int) -> Disagreement:
    time, upper, lower = since
    said = [(Said(one.words, time, until),) for one in (upper, lower)]
    return Disagreement("dynamic" if kind == "dynamic" else "technique", time, *said)


def _apart(
    kind: MarkKind,
    upper: list[Said],
    lower: list[Said],
    alike: Callable[[Said, Said], bool],
) -> Iterator[Disagreement]:
    """What one of two lines has and the other has not; what overlaps is one disagreement."""
    left = [*lower]
    alone: list[tuple[Said, bool]] = []
    for one in upper:
        partner = next((other for other in left if alike(one, other)), None)
        if partner is None:
            alone.append((one, True))
        else:
            left.remove(partner)
    alone += [(other, False) for other in left]
    alone.sort(key=lambda one: (one[0].time, one[0].until))
    groups: list[list[tuple[Said, bool]]] = []
    end = -1
    for said, above in alone:
        if said.time > end:
            groups.append([])
        groups[-1].append((said, above))
        end = max(end, said.until)
    for group in groups:
        yield _of_group(kind, group)


def _of_group(kind: MarkKind, group: Sequence[tuple[Said, bool]]) -> Disagreement:
    upper, lower = (
        tuple(one for one, above in group if above is side) for side in (True, False)
    )
    return Disagreement(kind, group[0][0].time, upper, lower)
