"""What a player has in force at the beginning of a bar: clef, transposition, key."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.musicxml.accidentals import AccidentalState
from rewriter.scores.attributes import changes_in
from rewriter.scores.in_force import Told
from rewriter.scores.quarters import in_quarters
from rewriter.scores.staff_signs import USUAL_LINES
from rewriter.theory.numbers import whole

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.scores.attributes import Change
    from rewriter.scores.score import Part
    from rewriter.scores.staff_signs import ClefSaid
    from rewriter.theory.fifths import Interval

_LINES: Final = {"G": 4 * 7 + 4, "F": 3 * 7 + 3, "C": 4 * 7}
"""The pitch a clef's sign stands for, in steps from C0."""
_MIDDLE_LINE: Final = 3
_SAY: Final = (b"<clef", b"<transpose", b"<key")


class Stand(NamedTuple):
    """What is in force for a part at a bar.

    Attributes:
        middle: the pitch of the staff's middle line, in steps from C0; None without pitches.
        sounds: from written to sounding.
        fifths: key as written.
    """

    middle: int | None
    sounds: Interval
    fifths: int

    @property
    def has_pitches(self) -> bool:
        """True when the clef shows pitches."""
        return self.middle is not None

    def accidentals(self) -> AccidentalState:
        """The state of the staff where the bar begins."""
        return AccidentalState(self.fifths)


class Stands:
    """What is in force in a part, bar by bar; of the bars only those that say it are read."""

    def __init__(self, part: Part) -> None:
        self._told = Told(_changes(part))

    def at(self, bar: int) -> Stand:
        """What is in force where a bar begins, its own changes there counted."""
        said = self._told.at((bar, Fraction(0)))
        middle = _LINES["G"] + 2 if said.clef is None else _middle_line(said.clef)
        fifths = said.key.fifths if said.key is not None else 0
        return Stand(middle, said.transposition.interval, fifths)


def _changes(part: Part) -> Iterator[tuple[tuple[int, Fraction], Change]]:
    saying = {at for tag in _SAY for at in part.having(tag)}
    for at, bar in in_quarters(part, saying).items():
        for event in bar.events:
            if event.tag == "attributes":
                for change in changes_in(event.data):
                    yield (at, bar.onset(event)), change


def _middle_line(clef: ClefSaid) -> int | None:
    if clef.sign not in _LINES:
        return None
    line = whole(clef.line) or 0
    above = _MIDDLE_LINE - (line or USUAL_LINES[clef.sign])
    return _LINES[clef.sign] + 2 * above + 7 * clef.octaves
