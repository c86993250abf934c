"""What a bar is written in: divisions, and key and transposition of each of its staves."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Final, TypeVar

from rewriter.musicxml.accidentals import key_alterations
from rewriter.scores.attributes import changes_in
from rewriter.scores.staff_signs import KeySaid, Transposition
from rewriter.theory.fifths import Interval, transpose
from rewriter.theory.pitch import STEPS, Pitch, midi

if TYPE_CHECKING:
    from rewriter.scores.score import Part

T = TypeVar("T")

UNISON: Final = Interval(0, 0)


class Setting:
    """What is in force at a moment; the staff ``""`` stands for all that have nothing else.

    Attributes:
        divisions: of a quarter.
        keys: what the signature does to each letter, in semitones, by staff.
        transpositions: from written to sounding pitch, by staff.
    """

    def __init__(self) -> None:
        self.divisions = Fraction(1)
        self.keys: dict[str, dict[str, float]] = {"": key_alterations(0)}
        self.transpositions: dict[str, Interval] = {"": UNISON}

    def copy(self) -> Setting:
        """The same, to go on by itself."""
        other = Setting()
        other.divisions = self.divisions
        other.keys = dict(self.keys)
        other.transpositions = dict(self.transpositions)
        return other

    def take(self, attributes: bytes) -> None:
        """Go on with an ``<attributes>``."""
        for _, staff, value in changes_in(attributes):
            if isinstance(value, Fraction):
                self.divisions = value
            elif isinstance(value, KeySaid):
                _put(self.keys, staff, value.alterations)
            elif isinstance(value, Transposition):
                _put(self.transpositions, staff, value.interval)

    def key(self, staff: str) -> dict[str, float]:
        """What the signature does to each letter of a staff, in semitones."""
        return self.keys.get(staff or "1", self.keys[""])

    def transposition(self, staff: str) -> Interval:
        """From written to sounding pitch."""
        return self.transpositions.get(staff or "1", self.transpositions[""])


def _put(kept: dict[str, T], staff: str, value: T) -> None:
    """One for all staves ends what single staves had."""
    if not staff:
        kept.clear()
    kept[staff] = value


def setting_before(part: Part, bar: int) -> Setting:
    """What is in force where a bar begins, before anything it says itself.

    Args:
        part: read from its first bar.
        bar: index.
    """
    setting = Setting()
    for index, attributes in part.attributes:
        if index >= bar:
            break
        setting.take(attributes)
    return setting


def sounding(written: Pitch, interval: Interval) -> Pitch:
    """A written pitch as it sounds, spelled at the same distance whatever it needs.

    >>> str(sounding(Pitch("F", 2, 5), Interval(-1, -2)))
    'E#5'
    """
    octave, step = divmod(STEPS.index(written.step) + 7 * written.octave + interval.steps, 7)
    letter = STEPS[step]
    return Pitch(letter, midi(*written) + interval.semitones - midi(letter, 0, octave), octave)


def written(heard: Pitch, interval: Interval) -> Pitch:
    """A sounding pitch as the staff shows it.

    Args:
        heard: sounding.
        interval: from written to sounding.

    >>> str(written(Pitch("E", 1, 5), Interval(-1, -2)))
    'F##5'
    """
    return heard if interval == UNISON else transpose(heard, interval.reversed())
