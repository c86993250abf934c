"""Where a thing is in the new score, where the hand's version of it goes, and how."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.comparing.things import NEARLY
from rewriter.merging.steps import Put, Taken

if TYPE_CHECKING:
    from collections.abc import Container, Iterator

    from rewriter.comparing.difference import Difference
    from rewriter.comparing.things import Point, Thing
    from rewriter.merging.decisions import Spot
    from rewriter.merging.steps import Step
    from rewriter.merging.three import Three


def base_bar(three: Three, one: Difference) -> int:
    """The bar of the base that a difference is in."""
    if one.a is not None:
        return one.a.at.bar
    return three.made_of[one.b.at.bar] if one.b is not None else 0


class Placing:
    """Where a thing is in the new score, and where it goes."""

    def __init__(self, three: Three, one: Difference, spot: Spot, put: Container[int]) -> None:
        self._three = three
        self._put = put
        self._one = one
        self._spot = spot
        self._part = one.part.a if one.part else None
        self._part_now = spot.part if one.part is None else three.part_now[one.part.a or 0]

    @property
    def is_in_another_bar(self) -> bool:
        """True where another bar stands in the place of its own."""
        return self._spot.is_another

    @property
    def there(self) -> Thing | None:
        """The thing in the new score, where the base has it."""
        thing = self._one.a
        if thing is None:
            return None
        at = self._point(thing.at, made=False)
        if at is None:
            return None
        what = self._moved(thing).what
        near = self._beat(at.bar) // 2 if thing.kind in NEARLY else 0
        voice = self._voice(thing, made=False)
        found = [
            (abs(other.at.onset - at.onset), place, other)
            for place, other in enumerate(self._things_now(at.bar))
            if (other.kind, other.what) == (thing.kind, what)
            and other.at.grace == at.grace
            and abs(other.at.onset - at.onset) <= near
            and (other.voice == voice or not thing.voice)
            and (other.until is None) == (thing.until is None)
        ]
        return min(found)[2] if found else None

    def _things_now(self, bar: int) -> list[Thing]:
        three = self._three
        if self._part is not None:
            return three.bar(three.new, self._part_now, bar).things
        return [
            thing
            for part in range(len(three.new))
            for thing in three.bar(three.new, part, bar).things
        ]

    def _moved(self, thing: Thing) -> Thing:
        """The base's thing as it is expected in the new score."""
        if self._part is None:
            return thing
        three = self._three
        before = three.bar(three.base, self._part, thing.at.bar).things
        if thing not in before:
            return thing
        return three.bar(three.moved, self._part, thing.at.bar).things[before.index(thing)]

    def target(self) -> Thing | None:
        """The hand's thing at its places in the new score; None where they are not there."""
        thing = self._one.b
        if thing is None:
            return None
        at = self._point(thing.at, made=True)
        until = thing.until
        if until is not None and until.bar not in self._put:
            until = self._point(until, made=True)
        if at is None or (thing.until is not None and until is None):
            return None
        return thing._replace(at=at, until=until, voice=self._voice(thing, made=True))

    def _point(self, point: Point, *, made: bool) -> Point | None:
        three = self._three
        now = three.certain_now(point.bar) if made else three.new_bars.certain.get(point.bar)
        if now is None:
            return None
        return point._replace(bar=now)

    def _voice(self, thing: Thing, *, made: bool, at: Point | None = None) -> str:
        """The voice a thing is in, as the new score numbers it."""
        if not thing.voice or self._part is None or self._one.part is None:
            return thing.voice
        three = self._three
        point = at or thing.at
        if made and point.bar in self._put:
            return thing.voice
        bar = three.made_of[point.bar] if made else point.bar
        voice = thing.voice
        if made:
            voice = three.hand_pair(self._one.part, bar).voices.get(voice, "")
        names = {one: two for two, one in three.new_pair(self._part, bar).voices.items()}
        return names.get(voice, voice or thing.voice)

    def _beat(self, bar: int) -> int:
        return self._three.bar(self._three.new, max(self._part_now, 0), bar).beat

    def is_elsewhere(self) -> bool:
        """True where the new score sounds at another pitch than the hand's."""
        three, thing = self._three, self._one.b
        if thing is None or self._one.part is None or self._part is None:
            return False
        bar = three.made_of[thing.at.bar]
        made = three.bar(three.edited, self._one.part.b or 0, thing.at.bar).notes
        now = three.bar(three.new, self._part_now, self._spot.bar).notes
        heights = [
            {
                note.pitch.midi
                for note in notes
                if note.pitch and note.thing.at[1:] == thing.at[1:]
            }
            for notes in (made, now)
        ]
        return bool(three.move(bar).semitones) or heights[0].isdisjoint(heights[1])

    def steps(self, there: Thing | None, target: Thing | None) -> Iterator[Step]:
        """The new score's version taken out, and the hand's put in."""
        three = self._three
        if there is not None:
            for part in self._having(there):
                yield Taken(part, there)
        made = self._one.b
        if target is None or made is None:
            return
        part, made_part = max(self._part_now, 0), self._made_part(made)
        if self._part is None and there is not None:
            part = self._having(there)[0]
        until = self._voice(made, made=True, at=made.until) if made.until else ""
        by = three.move(base_bar(three, self._one))
        yield Put(part, target, until, made_part, made, by)

    def _having(self, thing: Thing) -> list[int]:
        """Parts of the new score that a thing stands in."""
        if self._part is not None:
            return [self._part_now]
        three = self._three
        return [
            part
            for part in range(len(three.new))
            if any(
                (other.kind, other.what) == (thing.kind, thing.what)
                for other in three.bar(three.new, part, thing.at.bar).things
            )
        ]

    def _made_part(self, made: Thing) -> int:
        if self._one.part is not None:
            return self._one.part.b or 0
        three = self._three
        return next(
            part
            for part in range(len(three.edited))
            if any(
                (other.kind, other.what) == (made.kind, made.what)
                and abs(other.at.onset - made.at.onset) <= other.at.onset
                for other in three.bar(three.edited, part, made.at.bar).things
            )
        )
