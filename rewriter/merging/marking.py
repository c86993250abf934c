"""Marks and signs taken out of the new score and put in, bar by bar."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from rewriter.comparing.spans import OPEN_END, SPANNING
from rewriter.editing.cutting import attribute_in
from rewriter.editing.edits import InBar
from rewriter.editing.elements import with_attribute, with_only
from rewriter.editing.music import tag_of
from rewriter.merging.carried_signs import (
    STANDING,
    child_of,
    direction_bytes,
    ending_of,
    harmony_bytes,
    mark_bytes,
    numbered,
    shell_of,
    standing_bytes,
)
from rewriter.merging.marked_bar import MarkedBar
from rewriter.merging.steps import Put, Taken
from rewriter.merging.taking_off import Wanted
from rewriter.musicxml.escaping import attribute
from rewriter.scores.children import children_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.comparing.things import Point, Thing
    from rewriter.editing.edits import Edit
    from rewriter.merging.reshaping import Shape
    from rewriter.merging.steps import Step
    from rewriter.merging.three import Three
    from rewriter.scores.score import Score

_EDGES: Final = frozenset(("barline", "repeat", "ending"))
_BREAKS: Final = {"page break": "new-page", "system break": "new-system"}
_MOST: Final = 16
"""Numbers that connect two ends go so far in the standard."""
_CONTENT: Final = {
    "repeat": ("bar-style", "repeat"), "barline": ("bar-style",), "ending": ("ending",),
    "fermata": ("fermata",), "jump": ("segno", "coda"),
}  # fmt: skip


class Marking:
    """The bars of a score that are being marked."""

    def __init__(self, three: Three, score: Score, shape: Shape) -> None:
        """Take a score.

        Args:
            three: the scores; places count in their divisions.
            score: the new one, with the hand's notes and bars.
            shape: where its bars are.
        """
        self._three = three
        self._score = score
        self._shape = shape
        self._bars: dict[InBar, MarkedBar] = {}
        self._numbers: dict[tuple[int, str], list[tuple[int, int, str]]] = {}

    def edits(self) -> list[Edit]:
        """All that changes."""
        return [edit for _, bar in sorted(self._bars.items()) for edit in bar.edits()]

    def _bar(self, part: int, bar: int) -> MarkedBar:
        where = InBar(part, bar)
        if where not in self._bars:
            self._bars[where] = MarkedBar(self._score, where)
        return self._bars[where]

    def _quarters(self, point: Point) -> Fraction:
        return Fraction(point.onset, self._three.divisions)

    def _now(self, point: Point | None) -> Point | None:
        """A place in the new score, where it is now."""
        return point and point._replace(bar=self._shape.now[point.bar])

    def _placed(self, step: Put) -> Put:
        """A step with its places where they are now, in bars put in by hand as well."""
        at, until = (
            made._replace(bar=self._shape.put[made.bar])
            if made is not None and made.bar in self._shape.put
            else self._now(there)
            for made, there in (
                (step.made.at, step.thing.at), (step.made.until, step.thing.until),
            )
        )  # fmt: skip
        return step._replace(thing=step.thing._replace(at=at or step.thing.at, until=until))

    def mark(self, steps: Sequence[Step]) -> list[Put]:
        """Take out and put in, as steps say.

        Returns:
            Steps that had no place.
        """
        for step in steps:
            if isinstance(step, Taken):
                self.take(step)
        return [step for step in steps if isinstance(step, Put) and not self.put(step)]

    def take(self, step: Taken) -> None:
        """Take a thing out, both its ends."""
        thing = step.thing
        at, until = self._now(thing.at), self._now(thing.until)
        thing = thing._replace(at=at or thing.at, until=until)
        if thing.kind in STANDING:
            bar = self._bar(step.part, thing.at.bar)
            bar.take_standing(self._quarters(thing.at), thing.kind, thing.staff)
            return
        end = "start" if thing.kind in SPANNING else ""
        end = "stop" if thing.what == OPEN_END else end
        number = self._take_one(step.part, thing.at, thing, Wanted(thing.kind, thing.what, end))
        if thing.until is not None and number:
            stop = Wanted(thing.kind, "", "stop", number)
            self._take_one(step.part, thing.until, thing, stop)

    def take_end(self, part: int, at: Point, thing: Thing, end: str) -> None:
        """Take out one end of what spans.

        Args:
            part: index.
            at: where the end is.
            thing: what spans.
            end: ``start`` or ``stop``.
        """
        self._take_one(part, at, thing, Wanted(thing.kind, thing.what, end))

    def _take_one(self, part: int, at: Point, thing: Thing, wanted: Wanted) -> str:
        bar = self._bar(part, at.bar)
        if not thing.voice:
            return bar.take(self._quarters(at), wanted)
        for place in bar.notes_at(self._quarters(at), at.grace, thing.voice, thing.staff):
            if number := bar.unhang(place, wanted):
                return number
        return ""

    def put(self, step: Put) -> bool:
        """Put a thing in; False where it has no place."""
        step = self._placed(step)
        kind = step.thing.kind
        if kind in STANDING:
            return self._put_standing(step)
        if kind in _BREAKS:
            return self._put_break(step)
        if step.thing.voice:
            return self._hang(step)
        part = self._three.scores.edited.parts[step.made_part]
        tag = tag_of(child_of(part, step.made.at.bar, step.made.place))
        if tag == "barline":
            return self._put_at_edge(step)
        if tag in {"harmony", "figured-bass"}:
            data = harmony_bytes(part, step.made, step.by)
            return self._put_sign(step.part, step.thing.at, data)
        return self._put_direction(step)

    def _put_sign(self, part: int, at: Point, data: bytes) -> bool:
        self._bar(part, at.bar).put(self._quarters(at), data)
        return True

    def _put_standing(self, step: Put) -> bool:
        made = self._three.scores.edited.parts[step.made_part]
        staves = self._score.parts[step.part].staves
        data = standing_bytes(made, step.made, step.by, staves=staves)
        return self._put_sign(step.part, step.thing.at, data)

    def _hang(self, step: Put) -> bool:
        thing = step.thing
        sign = mark_bytes(self._three.scores.edited.parts[step.made_part], step.made)
        place = self._note(step, thing.at, thing.voice)
        if place is None:
            return False
        bar = self._bar(step.part, thing.at.bar)
        if thing.until is None:
            bar.hang(place, sign)
            return True
        last = self._note(step, thing.until, step.voice_until)
        if last is None:
            return False
        number = self._number(step.part, thing, tag_of(sign))
        bar.hang(place, numbered(sign, number))
        self._bar(step.part, thing.until.bar).hang(last, ending_of(sign, number))
        return True

    def _note(self, step: Put, at: Point, voice: str) -> int | None:
        """The note a mark hangs on: of a chord the one the hand hung it on, as far as heard."""
        bar = self._bar(step.part, at.bar)
        places = bar.notes_at(self._quarters(at), at.grace, voice, step.thing.staff)
        if not places:
            return None
        if step.thing.kind in {"fingering", "string"}:
            return places[min(self._place_in_chord(step), len(places) - 1)]
        return places[0]

    def _place_in_chord(self, step: Put) -> int:
        made = self._three.edited[step.made_part].bars[step.made.at.bar].notes
        chord = [
            note.thing.place
            for note in made
            if note.thing.at == step.made.at and note.thing.voice == step.made.voice
        ]
        return chord.index(step.made.place) if step.made.place in chord else 0

    def _put_direction(self, step: Put) -> bool:
        thing = step.thing
        made = self._three.scores.edited.parts[step.made_part]
        staff = thing.staff if self._score.parts[step.part].staves > 1 else ""
        signs, shell = direction_bytes(made, step.made, staff)
        if thing.until is None:
            return self._put_sign(step.part, thing.at, shell.replace(b"\0", signs))
        number = self._number(step.part, thing, tag_of(signs))
        opening = numbered(signs, number)
        self._put_sign(step.part, thing.at, shell.replace(b"\0", opening))
        end = shell_of(attribute_in(shell, "placement"), staff)
        closing = ending_of(signs, number)
        return self._put_sign(step.part, thing.until, end.replace(b"\0", closing))

    def _number(self, part: int, thing: Thing, tag: str) -> str:
        """A number that connects two ends and nothing else of their kind meanwhile."""
        last = thing.until.bar if thing.until else thing.at.bar
        first = thing.at.bar
        pattern = re.compile(rb"<%b(?=[ />])[^>]*?(?: number=\"(\d+)\")?[^>]*>" % tag.encode())
        used = {
            attribute_in(match[0], "number") or "1"
            for bar in self._score.parts[part].bars[first : last + 1]
            for match in pattern.finditer(bar)
        }
        given = self._numbers.setdefault((part, tag), [])
        used |= {number for start, stop, number in given if start <= last and stop >= first}
        free = (str(number) for number in range(1, _MOST + 1) if str(number) not in used)
        number = next(free, "1")
        given.append((first, last, number))
        return number

    def _put_at_edge(self, step: Put) -> bool:
        thing, made = step.thing, step.made
        part = self._three.scores.edited.parts[step.made_part]
        barline = child_of(part, made.at.bar, made.place)
        inside = [
            child
            for child in children_of(barline)
            if tag_of(child) in _CONTENT.get(thing.kind, ())
        ]
        if thing.kind == "ending":
            inside = [one for one in inside if attribute_in(one, "type") == "start"]
        location = attribute_in(barline, "location") or "right"
        self._at_edge(step.part, thing.at.bar, location, inside)
        if thing.until is not None:
            ends = [with_attribute(one, "type", "stop") for one in inside]
            self._at_edge(step.part, thing.until.bar, "right", ends)
        return True

    def _at_edge(self, part: int, bar: int, location: str, inside: Iterable[bytes]) -> None:
        marked = self._bar(part, bar)
        for place, child in enumerate(marked.bar.children):
            own = marked.own(place)
            if not own or child.tag != "barline":
                continue
            if (attribute_in(own, "location") or "right") == location:
                for one in inside:
                    own = with_only(own, one)
                marked.replace(place, own)
                return
        data = b"<barline%b>%b</barline>" % (
            attribute("location", location), b"".join(inside),
        )  # fmt: skip
        marked.put(marked.bar.end if location == "right" else Fraction(0), data)

    def _put_break(self, step: Put) -> bool:
        marked = self._bar(step.part, step.thing.at.bar)
        name = _BREAKS[step.thing.kind]
        for place, child in enumerate(marked.bar.children):
            own = marked.own(place)
            if own and child.tag == "print":
                marked.replace(place, with_attribute(own, name, "yes"))
                return True
        marked.put(Fraction(0), b"<print%b/>" % attribute(name, "yes"))
        return True

    def beside_new_bars(self) -> set[tuple[int, int]]:
        """Part and bar of bars put in by hand, and of those behind bars that are gone."""
        bars = set(self._shape.put.values())
        places = sorted(self._shape.now.items())
        bars |= {at for (one, _), (two, at) in pairwise(places) if two != one + 1}
        return {(part, bar) for part in range(len(self._score.parts)) for bar in bars}

    def tie_ends(self, bars: Iterable[tuple[int, int]]) -> None:
        """Let ties end where they lead, at both ends of bars that have other notes now.

        Args:
            bars: part and bar of each.
        """
        last = {place: len(part.bars) - 1 for place, part in enumerate(self._score.parts)}
        borders = {
            (part, bar + step) for part, bar in bars for step in (-1, 0)
            if 0 <= bar + step < last[part]
        }  # fmt: skip
        for part, bar in sorted(borders):
            if not any(b"<tie" in one for one in self._score.parts[part].bars[bar : bar + 2]):
                continue
            self._tie_across(self._bar(part, bar), self._bar(part, bar + 1))

    def _tie_across(self, before: MarkedBar, behind: MarkedBar) -> None:
        ending = dict(_tied(before, at_end=True))
        beginning = dict(_tied(behind, at_end=False))
        for key, place in ending.items():
            starts = before.bar.children[place].form
            if starts is not None and starts.starts_tie and key not in beginning:
                before.tie(place, "start", wanted=False)
        for key, place in beginning.items():
            form = behind.bar.children[place].form
            other = ending.get(key)
            starts = before.bar.children[other].form if other is not None else None
            wanted = starts is not None and starts.starts_tie
            if form is not None and form.stops_tie != wanted:
                behind.tie(place, "stop", wanted=wanted)


def _tied(bar: MarkedBar, *, at_end: bool) -> Iterator[tuple[tuple[str, object], int]]:
    """The first or last notes of each voice of a bar, by voice and written pitch."""
    notes = [
        (place, child, child.form.voice)
        for place, child in enumerate(bar.bar.children)
        if child.form is not None and child.length
    ]
    ends: dict[str, Fraction] = {}
    for _, child, voice in notes:
        ends[voice] = max(child.onset + child.length, ends.get(voice, Fraction(0)))
    for place, child, voice in notes:
        edge = child.onset + child.length == ends[voice] if at_end else child.onset == 0
        if edge and child.written is not None:
            yield (voice, child.written), place
