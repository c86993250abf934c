"""What placing has to tell of a score: facts, neither weighed nor worded.

A fact says who, where and what, in the numbers of the music. Whether it is worth a word, how
grave it is and what to do about it is said by a rule, in the room above.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

import msgspec

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.rulefiles.ensembles import Section
    from rewriter.rulefiles.layouts import Condition, Handover
    from rewriter.rulefiles.stack_lines import Share
    from rewriter.sketch.model import Sounding

Beyond = Literal[
    "above the range", "below the range", "above the extreme", "below the lowest string"
]
"""Where a note lies that is outside a section's range."""


class Player(msgspec.Struct, frozen=True):
    """Who plays a line.

    Attributes:
        section: the section.
        share: how much of it.
        octave: whole octaves from the voice's sounding pitch.
        voice: what the line carries: of a sketch, or of a finished score, where whoever makes
            places of facts knows it again.
    """

    section: Section
    share: Share
    octave: int
    voice: Any


class NoteBeyond(msgspec.Struct, frozen=True):
    """A note outside the range of who plays it.

    Attributes:
        player: who plays it.
        note: at the pitch it has in the line.
        where: which limit it is past.
    """

    player: Player
    note: Sounding
    where: Beyond


class AtTheTop(msgspec.Struct, frozen=True):
    """A run of notes in the highest register of a section.

    Attributes:
        player: who plays it.
        note: the first, at the pitch it has in the line.
        bars: how many it goes on for.
    """

    player: Player
    note: Sounding
    bars: int


class BroughtBack(msgspec.Struct, frozen=True):
    """Notes moved by octaves, or silenced, because some of them were out of range.

    Attributes:
        player: who plays, or would have played, them.
        notes: at the pitches they had before.
        shift: octaves they were moved by; None where they rest.
    """

    player: Player
    notes: Sequence[Sounding]
    shift: int | None


class RunHandedOver(msgspec.Struct, frozen=True):
    """A run past a line's limit that another section has taken.

    Attributes:
        player: whose line it is.
        receiver: who has taken it.
        first: its first note, at the pitch it has in the line.
        last: its last.
        rule: what the layout says of it.
    """

    player: Player
    receiver: Section
    first: Sounding
    last: Sounding
    rule: Handover


class ReceiverBusy(msgspec.Struct, frozen=True):
    """A run past a line's limit that stays, since who should take it plays something else.

    Attributes:
        player: whose line it is.
        receiver: who should have taken it.
        first: its first note, at the pitch it has in the line.
        last: its last.
        rule: what the layout says of it.
    """

    player: Player
    receiver: Section
    first: Sounding
    last: Sounding
    rule: Handover


class ReceiverOutOfRange(msgspec.Struct, frozen=True):
    """A run past a line's limit that stays, since who should take it plays it less well.

    Attributes:
        player: whose line it is.
        receiver: who should have taken it.
        first: its first note, at the pitch it has in the line.
        last: its last.
        rule: what the layout says of it.
    """

    player: Player
    receiver: Section
    first: Sounding
    last: Sounding
    rule: Handover


class OutsideCondition(msgspec.Struct, frozen=True):
    """A line that leaves the register in which a treatise allows the layout.

    Attributes:
        player: who plays it.
        note: the first outside, at the pitch it has in the line.
        limit: MIDI number.
        above: True where the limit is an upper one.
        share: of the line's time that lies outside, above 0, to 1.
        condition: what is asked, and by whom.
    """

    player: Player
    note: Sounding
    limit: int
    above: bool
    share: float
    condition: Condition


class StruckAgain(msgspec.Struct, frozen=True):
    """A tied note that is struck again, since its line goes on somewhere else on the page.

    Attributes:
        player: who plays it from there on.
        where: the note that is struck, as (bar, place among its notes).
    """

    player: Player
    where: tuple[int, int]


class BegunLate(msgspec.Struct, frozen=True):
    """A line that begins late, since its players still hold a note of the passage before.

    Attributes:
        player: who plays it.
        bar: index from 0.
        left_out: how many notes were.
    """

    player: Player
    bar: int
    left_out: int


class SectionDivided(msgspec.Struct, frozen=True):
    """A section with several lines in one passage.

    Attributes:
        section: the section.
        lines: how many.
        octaves: the octaves in which it has the tune.
        note: the first of the tune; None where it is silent.
    """

    section: Section
    lines: int
    octaves: frozenset[int]
    note: Sounding | None


class SignsLeftOut(msgspec.Struct, frozen=True):
    """Signs of one kind that would not be true where a line plays.

    Attributes:
        player: who plays it.
        sign: ``harmonic``, ``open-string``, or the words on the string.
        where: the first of the notes they are on: index of the bar, place among its notes.
        times: how many there are.
    """

    player: Player
    sign: str
    where: tuple[int, int]
    times: int


class LineLeaps(msgspec.Struct, frozen=True):
    """A section whose line changes its octave where one passage follows another.

    Attributes:
        section: the section.
        bar: in which the later passage begins, index from 0.
        before: octave of the tune.
        after: likewise.
    """

    section: Section
    bar: int
    before: int
    after: int


class MovesOn(msgspec.Struct, frozen=True):
    """A line that plays a new note while others hold under a fermata.

    Attributes:
        player: who plays it.
        note: the first such, at the pitch it has in the line.
    """

    player: Player
    note: Sounding


Fact = (
    NoteBeyond
    | AtTheTop
    | BroughtBack
    | RunHandedOver
    | ReceiverBusy
    | ReceiverOutOfRange
    | OutsideCondition
    | BegunLate
    | SectionDivided
    | SignsLeftOut
    | LineLeaps
    | MovesOn
)
