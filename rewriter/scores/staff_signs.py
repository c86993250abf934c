"""What stands before the notes of a staff: clef, key, transposition.

The one reader of them. What cannot be is told to the caller, who refuses it or goes on with
what this module puts in its place.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

import msgspec

from rewriter.musicxml.accidentals import key_alterations
from rewriter.theory.fifths import Interval
from rewriter.theory.numbers import decimal, whole
from rewriter.theory.pitch import SEMITONES_OF_STEP

if TYPE_CHECKING:
    from collections.abc import Callable

    from lxml.etree import _Element as Element

    CannotBe = Callable[[str], object]
    """Told what a file says that cannot be; may raise."""

USUAL_LINES: Final = {"G": 2, "F": 4, "C": 3}
"""Where a clef stands that does not say it, counted from the bottom."""
_FURTHEST: Final = 60
"""Semitones, steps or octaves: a transposition beyond is a damaged file."""
_MOST_ALTER: Final = 4
"""Semitones."""
_MOST_FIFTHS: Final = 11
"""Keys beyond seven are theory, beyond eleven a damaged file."""
_STEPS_OF_SEMITONES: Final = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)


class KeySaid(msgspec.Struct, frozen=True):
    """A key signature.

    Attributes:
        fifths: sharps above zero, flats below; 0 where it is an unusual one.
        mode: such as ``minor``; empty where it is not said.
        altered: (step, semitones) of each sign of an unusual key.
    """

    fifths: int
    mode: str = ""
    altered: tuple[tuple[str, float], ...] = ()

    @property
    def alterations(self) -> dict[str, float]:
        """What it does to each letter, in semitones.

        >>> KeySaid(0, altered=(("B", -1), ("F", 1))).alterations["F"]
        1
        """
        return key_alterations(self.fifths) | dict(self.altered)


class ClefSaid(NamedTuple):
    """A clef.

    Attributes:
        sign: such as ``G``.
        line: counted from the bottom, as text; empty where it is not said.
        octaves: it is read higher by; pitches in the file already sound so.
    """

    sign: str
    line: str = ""
    octaves: int = 0


class Transposition(msgspec.Struct, frozen=True):
    """From what is written to what sounds.

    Attributes:
        diatonic: steps; where they are not said, what so many semitones usually are.
        chromatic: semitones.
        octaves: besides.
        doubled: octaves at which it sounds as well; 0 where it does not.
    """

    diatonic: int = 0
    chromatic: float = 0
    octaves: int = 0
    doubled: int = 0

    @property
    def semitones(self) -> float:
        """From the written pitch to the sounding one."""
        return self.chromatic + 12 * self.octaves

    @property
    def interval(self) -> Interval:
        """From written to sounding, between letters: quarter tones are cut off.

        >>> Transposition(-1, -2, -1).interval  # a bass clarinet
        Interval(steps=-8, semitones=-14)
        """
        steps = self.diatonic + 7 * self.octaves
        return Interval(steps, int(self.chromatic) + 12 * self.octaves)


def read_clef(clef: Element, cannot_be: CannotBe) -> ClefSaid:
    """A clef; octaves that cannot be are none.

    Args:
        clef: ``<clef>``.
        cannot_be: told what its octaves say.
    """
    sign, line = ((clef.findtext(tag) or "").strip() for tag in ("sign", "line"))
    return ClefSaid(sign, line, int(_distance(clef, "clef-octave-change", cannot_be)))


def read_key(key: Element, cannot_be: CannotBe) -> KeySaid:
    """A key; fifths that cannot be are none, letters that are none are left out.

    Args:
        key: ``<key>``.
        cannot_be: told its fifths, an alteration or a letter.
    """
    mode = (key.findtext("mode") or "").strip()
    letters = [(child.text or "").strip() for child in key.iterchildren("key-step")]
    if not letters:
        fifths = key.find("fifths")
        return KeySaid(0 if fifths is None else fifths_in(fifths.text, cannot_be), mode)
    alters = (alter_in(child.text, cannot_be) for child in key.iterchildren("key-alter"))
    altered = []
    for letter, alter in zip(letters, alters, strict=False):
        if letter in SEMITONES_OF_STEP:
            altered.append((letter, alter))
        else:
            cannot_be(letter)
    return KeySaid(0, mode, tuple(altered))


def fifths_in(text: str | None, cannot_be: CannotBe) -> int:
    """Sharps, or flats as negative; 0 for what cannot be.

    Args:
        text: of ``<fifths>``.
        cannot_be: told the text.
    """
    fifths = whole(text or "")
    if fifths is not None and abs(fifths) <= _MOST_FIFTHS:
        return fifths
    cannot_be(text or "")
    return 0


def alter_in(text: str | None, cannot_be: CannotBe) -> float:
    """Semitones of an alteration; 0 for what cannot be.

    Args:
        text: of ``<key-alter>`` or the like; none for no alteration.
        cannot_be: told the text.
    """
    semitones = decimal(text or "0")
    if semitones is not None and abs(semitones) <= _MOST_ALTER:
        return float(semitones)
    cannot_be(text or "")
    return 0


def read_transposition(transpose: Element, cannot_be: CannotBe) -> Transposition:
    """A transposition; of its numbers those that cannot be are none.

    Args:
        transpose: ``<transpose>``.
        cannot_be: told a number of it.

    Source: W3C MusicXML 4.0, ``<transpose>``; ``<double>`` is an octave down unless it says
    ``above``.
    """
    chromatic = _distance(transpose, "chromatic", cannot_be)
    octaves = int(_distance(transpose, "octave-change", cannot_be))
    if transpose.find("diatonic") is not None:
        steps = int(_distance(transpose, "diatonic", cannot_be))
    else:
        size = abs(int(chromatic))
        steps = _STEPS_OF_SEMITONES[size % 12] + size // 12 * 7
        steps = -steps if chromatic < 0 else steps
    double = transpose.find("double")
    doubled = 0 if double is None else 1 if double.get("above") == "yes" else -1
    return Transposition(steps, chromatic, octaves, doubled)


def _distance(element: Element, tag: str, cannot_be: CannotBe) -> float:
    text = (element.findtext(tag) or "0").strip()
    distance = decimal(text)
    if distance is not None and abs(distance) <= _FURTHEST:
        return float(distance)
    cannot_be(text)
    return 0
