"""A voice of the sketch with what must be known of it to hold a line against it."""

from bisect import bisect_right
from collections.abc import Iterator
from functools import cached_property
from typing import NamedTuple

from tests.ledger.entries import Chord, Entry, Moment, Said

ON_ONE_NOTE = {"wavy-line", "tuplet"}
STARTS = {"start", "crescendo", "diminuendo", "up", "down", "sostenuto"}


class Span(NamedTuple):
    """A sign with both ends."""

    tag: str
    start: Entry
    stop: Entry


class Voice:
    """Notes, signs, and which signs belong together."""

    def __init__(self, said: Said) -> None:
        self.chords = sorted(said.chords, key=lambda one: one.at)
        self.entries = said.entries
        self.sounding = [one for one in self.chords if one.pitches]
        self._at = [one.at for one in self.chords]
        self._sounding_at = [one.at for one in self.sounding]

    @cached_property
    def spans(self) -> list[Span]:
        """Ends paired in the order of the file, then in that of time: offsets move some.

        Source: W3C MusicXML 4.0, number-level.
        """
        return [*_paired(self._ends(in_time=False)), *_paired(self._ends(in_time=True))]

    @cached_property
    def others(self) -> "Voice":
        """The directions of the part's other staves and voices, which may be lent to it."""
        mark = "of others: "
        entries = [
            one._replace(kind=one.kind.removeprefix(mark))
            for one in self.entries
            if one.kind.startswith(mark)
        ]
        return Voice(Said([], entries))

    def _ends(self, *, in_time: bool) -> Iterator[Entry]:
        """Ends of spans, those of one note together: what is open ends first."""
        groups: dict[tuple[Moment, bool], list[Entry]] = {}
        for one in self.entries:
            says = one.kind.partition(" ")[2]
            if says in STARTS | {"stop"} and one.number:
                groups.setdefault((one.at, one.on_note), []).append(one)
        is_open = set[tuple[str, str]]()
        items = groups.items()
        for (_, on_note), entries in (
            sorted(items, key=lambda one: one[0]) if in_time else items
        ):
            ordered = entries
            if on_note:
                ordered = sorted(entries, key=lambda one: self._turn(one, is_open))
            else:
                ordered = sorted(entries, key=lambda one: not one.kind.endswith(" stop"))
            for one in ordered:
                key = (one.kind.partition(" ")[0], one.number)
                (is_open.discard if one.kind.endswith(" stop") else is_open.add)(key)
                yield one

    def _turn(self, one: Entry, is_open: set[tuple[str, str]]) -> int:
        tag = one.kind.partition(" ")[0]
        stops = one.kind.endswith(" stop")
        if stops and (tag, one.number) in is_open:
            return 0
        if tag in ON_ONE_NOTE:
            return 1
        return 0 if stops else 2

    def partner(self, one: Entry) -> Entry | None:
        """The other end of a span."""
        for span in self.spans:
            if one is span.start or one is span.stop:
                return span.stop if one is span.start else span.start
        return None

    def covering(self, at: Moment) -> Chord | None:
        """The note or rest that lasts at a moment; behind the last of a bar, that one."""
        place = bisect_right(self._at, Moment(at.bar, at.onset, 0)) - 1
        if place < 0 or self.chords[place].at.bar != at.bar:
            return None
        return self.chords[place]

    def between(self, start: Moment, stop: Moment) -> list[Chord]:
        """What sounds from one moment to another, both included."""
        first = bisect_right(self._sounding_at, start) - 1
        if first < 0 or self._sounding_at[first] != start:
            first += 1
        return self.sounding[first : bisect_right(self._sounding_at, stop)]

    def around(self, at: Moment) -> tuple[Chord | None, Chord | None]:
        """The last note that begins before a moment, and the first that begins at or after."""
        place = bisect_right(self._sounding_at, Moment(at.bar, at.onset, -99))
        before = self.sounding[place - 1] if place else None
        after = self.sounding[place] if place < len(self.sounding) else None
        return before, after


def _paired(ends: Iterator[Entry]) -> Iterator[Span]:
    is_open = dict[tuple[str, str], Entry]()
    for one in ends:
        tag, _, says = one.kind.partition(" ")
        key = (tag, one.number)
        if says in STARTS:
            is_open[key] = one
        elif says == "stop" and key in is_open:
            yield Span(tag, is_open.pop(key), one)
