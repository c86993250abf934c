"""What there is to tell of the layouts a house asks for."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import msgspec

if TYPE_CHECKING:
    from rewriter.checking.carried_tune import CarriedNote
    from rewriter.rulefiles.houses import Scoring


class Passage(NamedTuple):
    """A passage in which all that a rule says of its place is so.

    Attributes:
        start: divisions from the start of the piece.
        stop: likewise.
        notes: of the tune that begin in it; none where the rule does not ask for the tune.
    """

    start: int
    stop: int
    notes: tuple[CarriedNote, ...] = ()


class OfScoring(msgspec.Struct, frozen=True):
    """Something there is to tell of what a house asks for."""


class Differs(OfScoring, frozen=True):
    """A passage that is not laid out as it should be.

    Attributes:
        asked: the rule.
        passage: where.
        part: index of the part it is told of.
        has: who plays the tune there, or what is not as it should be.
        wants: what is asked for and not there.
        as_wanted: True where the layout that is wanted is there, whatever else is asked for.
    """

    asked: Scoring
    passage: Passage
    part: int
    has: str
    wants: str
    as_wanted: bool


class NotLookedAt(OfScoring, frozen=True):
    """Rules that nothing can be said of in this score.

    Attributes:
        asked: the rules.
        why: in a few words, and what to do.
    """

    asked: tuple[Scoring, ...]
    why: str
