"""Pitch: letter, alteration, octave; MIDI numbers and names that people read."""

import re
from functools import lru_cache
from typing import NamedTuple

STEPS = "CDEFGAB"

SEMITONES_OF_STEP = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}

FIFTHS_OF_STEP = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
"""Where each natural letter stands on the line of fifths; every sharp adds 7."""

_COMMON_NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")

_MOST_SIGNS = 3
"""Sharps or flats a name is written with."""

_PITCH = re.compile(r"([A-Ga-g])(#{1,3}|b{1,3}|x#?|#x|)(-?\d{1,2})")


class Pitch(NamedTuple):
    """A spelled pitch.

    Attributes:
        step: letter, ``A`` to ``G``.
        alter: semitones the letter is raised by; fractions are quarter tones and the like.
        octave: scientific octave of the *letter* (middle C is C4, so B#3 sounds as C4).
    """

    step: str
    alter: float
    octave: int

    @property
    def midi(self) -> float:
        """MIDI number, C4 = 60; an int when whole."""
        return midi(self.step, self.alter, self.octave)

    def __str__(self) -> str:
        return note_name(self.step, self.alter, self.octave)


def midi(step: str, alter: float, octave: int) -> float:
    """MIDI number of a spelled pitch (C4 = 60), an int when whole.

    >>> midi("C", 0, 4), midi("B", 1, 3), midi("E", -2, 5), midi("F", 0.5, 4)
    (60, 60, 74, 65.5)
    """
    number = 12 * (octave + 1) + SEMITONES_OF_STEP[step] + alter
    return int(number) if number == int(number) else number


def parse_pitch(text: str) -> Pitch:
    """Read a pitch as people write it.

    Args:
        text: letter, up to three ``#`` or ``b`` (``x`` for ``##``), octave: ``F#4``, ``Bb3``.

    Raises:
        ValueError: the text is no pitch.

    >>> parse_pitch("F#4"), parse_pitch("Cx5").alter, parse_pitch("Bb3").midi
    (Pitch(step='F', alter=1, octave=4), 2, 58)
    """
    match = _PITCH.fullmatch(text.strip())
    if match is None:
        raise ValueError(f'"{text}" is no pitch; write it like F#4 or Bb3')
    letter, sign, octave = match.groups()
    sign = sign.replace("x", "##")
    alter = -len(sign) if sign.startswith("b") else len(sign)
    return Pitch(letter.upper(), alter, int(octave))


@lru_cache(maxsize=512)
def note_name(step: str, alter: float, octave: int) -> str:
    """Name of a spelled pitch, for people.

    Microtones are named by the nearest sharp or flat and the cents that are left; what is
    altered by more than any sign can say, by the semitones.

    >>> note_name("F", 2, 4), note_name("B", -1, 3), note_name("A", -0.5, 4)
    ('F##4', 'Bb3', 'A4 (-50 cents)')
    >>> note_name("F", 40, 4)
    'F4 (+40 semitones)'
    """
    whole = int(alter)
    if abs(whole) > _MOST_SIGNS:
        return f"{step}{octave} ({alter:+.12g} semitones)"
    sign = "#" * whole if whole > 0 else "b" * -whole
    name = f"{step}{sign}{octave}"
    cents = round((alter - whole) * 100)
    return f"{name} ({cents:+d} cents)" if cents else name


@lru_cache(maxsize=512)
def name_of_midi(number: float) -> str:
    """Name of a sounding MIDI number, black keys by their commonest spelling.

    >>> name_of_midi(60), name_of_midi(66), name_of_midi(70), name_of_midi(58.5)
    ('C4', 'F#4', 'Bb4', 'Bb3 (+50 cents)')
    """
    whole = int(number // 1)
    name = f"{_COMMON_NAMES[whole % 12]}{whole // 12 - 1}"
    cents = round((number - whole) * 100)
    return f"{name} ({cents:+d} cents)" if cents else name
