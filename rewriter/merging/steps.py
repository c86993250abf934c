"""What is to be done to the new score, one step at a time; places are the new score's."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from rewriter.comparing.things import Thing
    from rewriter.theory.fifths import Interval


class Sung(NamedTuple):
    """A voice of a bar gets the notes of the edited score.

    Attributes:
        part: index.
        bar: index.
        voice: as the new score numbers it; empty where it has none like it.
        staff: of the notes, as text.
        made_part: index in the edited score.
        made_bar: likewise.
        made_voices: whose notes they are.
        by: they are so much higher.
    """

    part: int
    bar: int
    voice: str
    staff: str
    made_part: int
    made_bar: int
    made_voices: tuple[str, ...]
    by: Interval


class Taken(NamedTuple):
    """A thing goes.

    Attributes:
        part: index.
        thing: as the new score has it.
    """

    part: int
    thing: Thing


class Put(NamedTuple):
    """A thing of the edited score is put in.

    Attributes:
        part: index.
        thing: at its places in the new score, its voice as the new score numbers it.
        voice_until: voice in which it ends; empty for what has no end or belongs to no voice.
        made_part: index in the edited score.
        made: as the edited score has it.
        by: it is so much higher.
    """

    part: int
    thing: Thing
    voice_until: str
    made_part: int
    made: Thing
    by: Interval


class BarTaken(NamedTuple):
    """A bar goes, in all parts."""

    bar: int


class BarPut(NamedTuple):
    """A bar of the edited score is put in.

    Attributes:
        before: index of the bar it stands before.
        made_bar: index in the edited score.
        by: its music is so much higher.
    """

    before: int
    made_bar: int
    by: Interval


class PartTaken(NamedTuple):
    """A part goes."""

    part: int


class PartPut(NamedTuple):
    """A part of the edited score is put in.

    Attributes:
        before: index of the part it stands before.
        made_part: index in the edited score.
    """

    before: int
    made_part: int


class Headed(NamedTuple):
    """A name or title changes.

    Attributes:
        part: index; None for what belongs to the whole score.
        kind: as things have it.
        was: what the new score says; empty for nothing.
        now: what it is to say; empty for nothing.
    """

    part: int | None
    kind: str
    was: str
    now: str


Step = Sung | Taken | Put | BarTaken | BarPut | PartTaken | PartPut | Headed
