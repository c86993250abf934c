"""Which notes print an accidental, by staff, octave and bar.

A printed accidental holds for its own line or space, in its own octave, to the barline; a note
tied over a barline keeps its alteration without a sign and sets none for the notes after it.
(Gehrkens, Music Notation and Terminology, sections 21, 24, 25; "own octave only" is common
practice, no source.) A sign the sketch printed without need is a courtesy and stays one.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.escaping import escaped

if TYPE_CHECKING:
    from collections.abc import Iterable

SHARPS: Final = "FCGDAEB"

_NAMES: Final = {
    0: "natural", 1: "sharp", -1: "flat", 2: "double-sharp", -2: "flat-flat", 3: "triple-sharp",
    -3: "triple-flat", 0.5: "quarter-sharp", -0.5: "quarter-flat",
    1.5: "three-quarters-sharp", -1.5: "three-quarters-flat",
}  # fmt: skip
_MEANS: Final = {
    "sharp-sharp": 2, "natural-sharp": 1, "natural-flat": -1, "double-flat": -2,
    **{name: alter for alter, name in _NAMES.items()},
}  # fmt: skip

_DOUBTFUL: Final = float("inf")
"""No note is altered by so much, so whatever comes next is another alteration."""
_REMINDED: Final = -_DOUBTFUL
"""Likewise, where a sign that is not needed is a courtesy."""

COURTESY: Final = b' cautionary="yes"'
"""What a sign says of itself that is not needed."""

_SMUFL: Final = re.compile(rb' smufl="[^"]*"')

_ARROWS: Final = frozenset(("up", "down"))


def alteration_of(name: str) -> float | None:
    """Semitones that an accidental of this name means; None where only the sketch knows."""
    return _MEANS.get(name)


def name_of(alter: float) -> str:
    """MusicXML name of the accidental for an alteration in semitones; empty for none."""
    return _NAMES.get(alter, "")


def key_alterations(fifths: int) -> dict[str, float]:
    """What a key signature does to each letter, in semitones.

    >>> key_alterations(2)["C"], key_alterations(-1)["B"], key_alterations(0)["F"]
    (1, -1, 0)
    """
    return {
        step: (fifths - place + 6) // 7 if fifths > 0 else -((-fifths - (6 - place) + 6) // 7)
        for place, step in enumerate(SHARPS)
    }


class AccidentalState:
    """The alterations in force on one staff, and the sign each note in turn needs.

    Notes are given in the order they are written. Pitches are written pitches; alterations in
    semitones.
    """

    def __init__(self, fifths: int = 0) -> None:
        self._key = key_alterations(fifths)
        self._bar: dict[tuple[str, int], float] = {}
        self._behind: dict[tuple[str, int], float] = {}
        self._written: dict[tuple[float, tuple[str, bytes] | None, bool], bytes] = {}

    def change_key(self, alterations: dict[str, float]) -> None:
        """A new key signature holds from here."""
        self._key = alterations
        self._bar = {}

    def start_bar(self) -> None:
        """A barline: only the key signature holds."""
        if self._bar:
            self._bar = {}

    def doubt(self, lines: Iterable[tuple[str, int]]) -> None:
        """Have the next note on each of these letters in octaves print its sign."""
        for line in lines:
            self._bar[line] = _DOUBTFUL

    def remind(self, lines: Iterable[tuple[str, int]]) -> None:
        """Have the next note on each of these letters in octaves print a sign as a courtesy."""
        for line in lines:
            in_force = self._bar.get(line, self._key[line[0]])
            if in_force != _REMINDED:
                self._behind[line], self._bar[line] = in_force, _REMINDED

    def sign(
        self,
        step: str,
        alter: float,
        octave: int,
        printed: tuple[str, bytes] | None,
        *,
        tied: bool,
    ) -> bytes:
        """The ``<accidental>`` of the next note, empty for none.

        Args:
            step: letter.
            alter: semitones.
            octave: written octave.
            printed: the sign the sketch has there, as (name, attributes).
            tied: True when a tie from the note before ends here.
        """
        line = (step, octave)
        needed = reminded = False
        in_force = self._bar.get(line, self._key[step])
        if in_force != alter:
            if tied:
                self.remind((line,))
            else:
                reminded = in_force == _REMINDED and self._behind[line] == alter
                needed = not reminded
                self._bar[line] = alter
        if not needed and not reminded and printed is None:
            return b""
        wanted = (alter, printed, needed)
        data = self._written.get(wanted)
        if data is None:
            data = self._written[wanted] = _accidental(alter, printed, needed=needed)
        return data


def _accidental(alter: float, printed: tuple[str, bytes] | None, *, needed: bool) -> bytes:
    """The element; a sign no ``<alter>`` can express is the sketch's own, if it has one."""
    name, attributes = printed or ("", b"")
    if name and name not in _MEANS:
        name = _with_arrow(name, alter)
    elif _MEANS.get(name) != alter:
        name, attributes = _NAMES.get(alter, ""), _SMUFL.sub(b"", attributes)
    if not name:
        return b""
    if not needed and b"cautionary=" not in attributes and b"editorial=" not in attributes:
        attributes += COURTESY
    return b"<accidental%b>%b</accidental>" % (attributes, escaped(name))


def _with_arrow(name: str, alter: float) -> str:
    """A sign outside the semitones; one with an arrow follows the note's own alteration."""
    sign, _, arrow = name.rpartition("-")
    if arrow in _ARROWS and sign in _MEANS and alter in _NAMES and alter == int(alter):
        return f"{_NAMES[alter]}-{arrow}"
    return name
