"""The line of fifths: intervals, keys, spelling after a transposition."""

import re
from typing import Literal, NamedTuple

import msgspec

from rewriter.theory.pitch import FIFTHS_OF_STEP, SEMITONES_OF_STEP, STEPS, Pitch, midi

Direction = Literal["nearest", "up", "down"]

MOST_ACCIDENTALS = 7
_DIMINISHED_SECOND = 12
_READABLE = 2
_TRITONE = 6

_INTERVAL = re.compile(
    r"(?:(?P<before>up|down|\+|-|\u2212)\s*)?(?P<quality>P|p|M|m|A{1,2}|a{1,2}|D{1,2}|d{1,2})"
    r"(?P<number>[1-9]\d?)(?:\s+(?P<after>up|down))?"
)
_PERFECT_STEPS = {0, 3, 4}

_TONIC_OF_MODE = {
    "major": 0,
    "minor": 3,
    "ionian": 0,
    "dorian": 2,
    "phrygian": 4,
    "lydian": -1,
    "mixolydian": 1,
    "aeolian": 3,
    "locrian": 5,
}
_GERMAN_MODES = {
    "dur": "major",
    "moll": "minor",
    "ionisch": "ionian",
    "dorisch": "dorian",
    "phrygisch": "phrygian",
    "lydisch": "lydian",
    "mixolydisch": "mixolydian",
    "äolisch": "aeolian",
    "lokrisch": "locrian",
}
_WORDS_OF_MODE = {
    **{mode: mode for mode in _TONIC_OF_MODE},
    **_GERMAN_MODES,
    "maj": "major",
    "min": "minor",
}
_ENGLISH = re.compile(
    r"([A-G])(?:[- ]?(sharp|flat)|(#|b|\u266f|\u266d))?(?:[- ]?(.+))?", re.IGNORECASE
)
_GERMAN = re.compile(r"(heses|[cdfg]es|[cdefgah]is|es|as|[a-h])(?:[- ]?(.+))?", re.IGNORECASE)
_GERMAN_LETTERS = {"H": "B", "B": "B"}


class Interval(NamedTuple):
    """An interval, upward positive.

    Attributes:
        steps: diatonic steps.
        semitones: chromatic semitones.
    """

    steps: int
    semitones: int

    @property
    def fifths(self) -> int:
        """How far it moves a note or a key on the line of fifths."""
        return 7 * self.semitones - 12 * self.steps

    @property
    def text(self) -> str:
        """The interval as :func:`parse_interval` reads it; empty for none at all.

        >>> Interval(2, 3).text, Interval(-1, -2).text, Interval(4, 9).text, Interval(0, 0).text
        ('up m3', 'down M2', 'up AA5', '')
        """
        if not (self.steps or self.semitones):
            return ""
        if self < (0, 0):
            return self.reversed().text.replace("up", "down")
        perfect = self.steps % 7 in _PERFECT_STEPS
        beyond = self.semitones - _natural_semitones(self.steps)
        if beyond == 0 or (beyond == -1 and not perfect):
            quality = "P" if perfect else "m" if beyond else "M"
        else:
            quality = "A" * beyond if beyond > 0 else "d" * (-beyond - (not perfect))
        return f"up {quality}{self.steps + 1}"

    def reversed(self) -> "Interval":
        """The same interval the other way."""
        return Interval(-self.steps, -self.semitones)


class Key(msgspec.Struct, frozen=True):
    """A key by name.

    Attributes:
        tonic: on the line of fifths (C = 0, G = 1, F = -1).
        mode: ``major``, ``minor``, ``dorian`` ... as MusicXML names them; None if not said.
    """

    tonic: int
    mode: str | None

    def fifths(self, mode: str) -> int:
        """Key signature of this tonic in its own mode or, where none was said, in `mode`.

        Modes that MusicXML allows but that have no signature of their own count as major.
        """
        return self.tonic - _TONIC_OF_MODE.get(self.mode or mode, 0)


def parse_interval(text: str, direction: Direction = "nearest") -> Interval:
    """Read an interval.

    Args:
        text: quality (``P M m A d``, doubled for doubly) and number, beyond the octave too,
            with ``up``, ``down``, ``+`` or ``-``: ``m3``, ``down M2``, ``-P8``, ``M9 up``.
        direction: which way it goes where the text does not say so; ``nearest`` is up.

    Raises:
        ValueError: the text is no interval, or says another direction.

    >>> parse_interval("m3"), parse_interval("down M9"), parse_interval("M2", "down")
    (Interval(steps=2, semitones=3), Interval(steps=-8, semitones=-14), \
Interval(steps=-1, semitones=-2))
    """
    fault = ValueError(f'"{text}" is no interval; write it like m3, up P4 or down M2')
    match = _INTERVAL.fullmatch(text.strip())
    if match is None or (match["before"] and match["after"]):
        raise fault
    quality, steps = match["quality"], int(match["number"]) - 1
    perfect = steps % 7 in _PERFECT_STEPS
    if (quality in "Mm" and perfect) or (quality in "Pp" and not perfect):
        raise fault
    semitones = _natural_semitones(steps)
    if quality == "m":
        semitones -= 1
    elif quality[0] in "Aa":
        semitones += len(quality)
    elif quality[0] in "Dd":
        semitones -= len(quality) + (not perfect)
    interval = Interval(steps, semitones)
    return interval.reversed() if _way(text, match, direction) == "down" else interval


def _way(text: str, match: re.Match[str], direction: Direction) -> Direction:
    """Up or down, from the text of an interval or from beside it.

    Raises:
        ValueError: they contradict each other.
    """
    word = match["before"] or match["after"]
    if not word:
        return direction
    way: Direction = "down" if word in {"down", "-", "\u2212"} else "up"
    if direction not in {"nearest", way}:
        raise ValueError(
            f'"{text}" goes {way}, and {direction} is asked for; keep one of the two'
        )
    return way


def _natural_semitones(steps: int) -> int:
    """Semitones of the perfect or major interval of some steps upward."""
    return SEMITONES_OF_STEP[STEPS[steps % 7]] + 12 * (steps // 7)


def key_after(fifths: int, interval: Interval) -> int:
    """Key signature after a transposition.

    On the line of fifths (C = 0, G = 1, F = -1) an interval of d diatonic steps and c
    semitones, upward positive, moves by 7c - 12d.

    Args:
        fifths: MusicXML <fifths>, flats negative.
        interval: diatonic steps and semitones.

    Returns:
        Fifths, -7 to 7; beyond that, respelled by a diminished second (12 fifths).

    Source: W3C MusicXML 4.0, <fifths>; the formula is arithmetic, compared with music21
    within seven accidentals.

    >>> key_after(5, Interval(1, 2)), key_after(6, Interval(1, 2))
    (7, -4)
    """
    return fifths + kept_within_seven(fifths, interval).fifths


def kept_within_seven(fifths: int, interval: Interval) -> Interval:
    """The interval that notes in a key really move by, so that the new key has a signature.

    Where the interval would lead beyond seven sharps or flats, it is widened or narrowed by
    a diminished second: same sound, other letters.

    >>> kept_within_seven(5, Interval(0, 1))  # B major up A1 is C major, not B sharp
    Interval(steps=1, semitones=1)
    """
    after = fifths + interval.fifths
    steps = interval.steps
    while after > MOST_ACCIDENTALS:
        after -= _DIMINISHED_SECOND
        steps += 1
    while after < -MOST_ACCIDENTALS:
        after += _DIMINISHED_SECOND
        steps -= 1
    return Interval(steps, interval.semitones)


def transpose(pitch: Pitch, interval: Interval) -> Pitch:
    """The pitch an interval away, spelled on the line of fifths.

    Single and double accidentals are kept as they fall, since a double sharp is the right
    leading note of a key with many sharps. What would need three or more is unreadable and
    is respelled by diminished seconds until at most two are left. Quarter tones keep their
    fraction.

    >>> str(transpose(Pitch("F", 1, 4), Interval(2, 3)))
    'A4'
    >>> str(transpose(Pitch("F", 2, 4), Interval(0, 1)))  # not F###4
    'G#4'
    """
    sounding = midi(*pitch) + interval.semitones
    index = STEPS.index(pitch.step) + 7 * pitch.octave + interval.steps
    spelled = _spelled(index, sounding)
    while abs(spelled.alter) > _READABLE:
        index += 1 if spelled.alter > 0 else -1
        spelled = _spelled(index, sounding)
    return spelled


def interval_between(low: Pitch, high: Pitch) -> Interval:
    """The interval from one pitch to another, upward positive.

    >>> interval_between(Pitch("A", 0, 4), Pitch("C", 1, 5))
    Interval(steps=2, semitones=4)
    """
    steps = [STEPS.index(pitch.step) + 7 * pitch.octave for pitch in (low, high)]
    return Interval(steps[1] - steps[0], int(high.midi - low.midi))


def _spelled(index: int, sounding: float) -> Pitch:
    """The pitch on a letter (counted from C0) that sounds as a MIDI number."""
    octave, step = divmod(index, 7)
    letter = STEPS[step]
    return Pitch(letter, sounding - midi(letter, 0, octave), octave)


def position(pitch: Pitch) -> float:
    """Where a note stands on the line of fifths (C = 0, G = 1, F sharp = 6)."""
    return FIFTHS_OF_STEP[pitch.step] + 7 * pitch.alter


def parse_key(text: str) -> Key:
    """Read a key name, English or German.

    A bare letter is English, so ``B`` has five sharps. German is read with -Dur, -Moll or a
    German mode, or from the names only German has: H, and Es, As, Fis, Cis and their like.

    Args:
        text: such as ``G``, ``F# minor``, ``Dm``, ``E-flat major``, ``b-Moll``, ``H``.

    Raises:
        ValueError: the text is no key.

    >>> parse_key("Bb"), parse_key("b-Moll"), parse_key("H"), parse_key("D dorian")
    (Key(tonic=-2, mode=None), Key(tonic=-2, mode='minor'), Key(tonic=5, mode=None), \
Key(tonic=2, mode='dorian'))
    """
    said = text.strip()
    key = _german_key(said) or _english_key(said)
    if key is None:
        raise ValueError(f'"{text}" is no key; write it like G, F# minor, Bb or Es-Dur')
    return key


def tonic_of(mode: str) -> int | None:
    """Where a mode has its tonic, in fifths above that of major; None for no such mode.

    >>> tonic_of("minor"), tonic_of("aeolian"), tonic_of("none")
    (3, 3, None)
    """
    return _TONIC_OF_MODE.get(mode)


def key_name(fifths: int, mode: str) -> str:
    """A key as people write it.

    Args:
        fifths: MusicXML <fifths>.
        mode: MusicXML <mode>; empty where the score has none: the tonic in major stands then.

    >>> key_name(-3, "minor"), key_name(6, "major"), key_name(-3, "")
    ('C minor', 'F# major', 'Eb')
    """
    tonic = fifths + _TONIC_OF_MODE.get(mode, 0)
    sharps, letter = divmod(tonic + 1, 7)
    sign = "#" * sharps if sharps > 0 else "b" * -sharps
    return f"{'FCGDAEB'[letter]}{sign} {mode}".strip()


def _english_key(said: str) -> Key | None:
    match = _ENGLISH.fullmatch(said)
    if match is None:
        return None
    letter, word, sign, mode = match.groups()
    known, mode = _mode(mode)
    if not known:
        return None
    sharp = (word or "").lower() == "sharp" or sign in {"#", "\u266f"}
    flat = bool(word or sign) and not sharp
    return Key(FIFTHS_OF_STEP[letter.upper()] + 7 * sharp - 7 * flat, mode)


def _german_key(said: str) -> Key | None:
    match = _GERMAN.fullmatch(said)
    if match is None:
        return None
    name, word = match[1].capitalize(), match[2]
    known, mode = _mode(word)
    german_word = (word or "").lower() in _GERMAN_MODES
    if not known or not (german_word or len(name) > 1 or name == "H"):
        return None
    letter = _GERMAN_LETTERS.get(name[0], name[0])
    flats = 1 if name == "B" or name in {"Es", "As"} or name.endswith("es") else 0
    sharps = 1 if name.endswith("is") else 0
    return Key(
        FIFTHS_OF_STEP[letter] + 7 * sharps - 7 * (2 if name == "Heses" else flats), mode
    )


def _mode(word: str | None) -> tuple[bool, str | None]:
    """Whether a mode word is known (none at all is), and the mode it means."""
    if word is None:
        return True, None
    if word in {"m", "M"}:
        return True, "minor" if word == "m" else "major"
    mode = _WORDS_OF_MODE.get(word.lower())
    return mode is not None, mode


def interval_between_keys(
    from_fifths: int, from_mode: str, to_key: Key, direction: Direction = "nearest"
) -> Interval:
    """Interval that brings music in one key to another tonic, mode kept.

    The mode of `to_key` is not looked at: a transposition cannot change it. A tritone is
    as near up as down and goes up. The same tonic is a unison in every direction.

    Args:
        from_fifths: signature the music has, MusicXML <fifths>.
        from_mode: MusicXML <mode>; ``major`` where the sketch has none.
        to_key: whose tonic is wanted.
        direction: nearest, or always up or down.

    >>> interval_between_keys(-1, "minor", Key(1, None))  # D minor to G minor
    Interval(steps=3, semitones=5)
    """
    moved = to_key.tonic - (from_fifths + _TONIC_OF_MODE.get(from_mode, 0))
    if moved == 0:
        return Interval(0, 0)
    steps = 4 * moved % 7
    semitones = (moved + 12 * steps) // 7
    if semitones < 0:
        semitones += 12
        steps += 7
    far = semitones > _TRITONE
    if direction == "down" or (direction == "nearest" and far):
        return Interval(steps - 7, semitones - 12)
    return Interval(steps, semitones)
