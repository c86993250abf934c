"""The line of fifths: intervals, keys, spelling after a transposition."""

from typing import Literal, NamedTuple

from rewriter.theory.pitch import Pitch

Direction = Literal["nearest", "up", "down"]


class Interval(NamedTuple):
    """An interval, upward positive.

    Attributes:
        steps: diatonic steps.
        semitones: chromatic semitones.
    """

    steps: int
    semitones: int


class Key(NamedTuple):
    """A key by name.

    Attributes:
        tonic: on the line of fifths (C = 0, G = 1, F = -1).
        mode: ``major``, ``minor``, ``dorian`` ... as MusicXML names them; None if not said.
    """

    tonic: int
    mode: str | None

    def fifths(self, mode: str) -> int:
        """Key signature of this tonic in its own mode or, where none was said, in `mode`."""
        raise NotImplementedError


def parse_interval(text: str) -> Interval:
    """Read an interval: ``m3``, ``up m3``, ``down M2``, ``P8``, ``A4``, ``-M2``."""
    raise NotImplementedError


def key_after(fifths: int, interval: Interval) -> int:
    """Key signature after a transposition."""
    raise NotImplementedError


def transpose(pitch: Pitch, interval: Interval) -> Pitch:
    """The pitch an interval away, spelled on the line of fifths."""
    raise NotImplementedError


def parse_key(text: str) -> Key:
    """Read a key name, English or German."""
    raise NotImplementedError


def interval_between_keys(
    from_fifths: int, from_mode: str, to_key: Key, direction: Direction = "nearest"
) -> Interval:
    """Interval that brings music in one key to another tonic, mode kept."""
    raise NotImplementedError
