"""What differs between two scores, one thing at a time."""

from __future__ import annotations

from typing import NamedTuple

from rewriter.comparing.things import Point, Thing


class PartPair(NamedTuple):
    """A part of A and the part of B that answers to it.

    Attributes:
        a: index in A; None where only B has the part.
        b: index in B; None where only A has it.
    """

    a: int | None
    b: int | None

    def mirrored(self) -> PartPair:
        """The same pair, the scores exchanged."""
        return PartPair(self.b, self.a)


class Difference(NamedTuple):
    """One thing that A and B do not have alike.

    Attributes:
        kind: of thing: ``note`` where a note is in one score only, ``pitch``, ``length``,
            ``tie`` and the like where both have the note, else as things have it.
        part: where; None for what belongs to the whole score or is so in all its parts.
        a: what A has, and where; None for nothing.
        b: what B has, likewise.
    """

    kind: str
    part: PartPair | None
    a: Thing | None
    b: Thing | None

    @property
    def at(self) -> Point:
        """Where it is: in A, or in B where A has nothing."""
        thing = self.a or self.b
        return thing.at if thing else Point(0)

    @property
    def voice(self) -> str:
        """The voice it is in, as A numbers it, or B where A has nothing; may be empty."""
        thing = self.a or self.b
        return thing.voice if thing else ""

    def mirrored(self) -> Difference:
        """The same difference, the scores exchanged."""
        return Difference(self.kind, self.part and self.part.mirrored(), self.b, self.a)


class Gone(NamedTuple):
    """A kind of thing that A has and B has nowhere: lost by a program, not taken out by hand.

    Attributes:
        kind: of thing.
        things: each of them, as differences.
    """

    kind: str
    things: tuple[Difference, ...]
