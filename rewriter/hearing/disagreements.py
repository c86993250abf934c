"""Where lines that double each other do not say the same.

Those in notes are looked for here, in a doubling alone; those in marks need the score
(``hearing.mark_disagreements``).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.hearing.doublings import Differing, Doubling
    from rewriter.hearing.lines import HeardNote

NoteKind = Literal["pitch", "alteration", "octave", "spelling", "rhythm", "length"]
MarkKind = Literal[
    "slur", "articulation", "ornament", "bowing", "dynamic", "hairpin", "technique", "words"
]
Kind = NoteKind | MarkKind

_A_WHOLE_TONE: Final = 2


class Said(NamedTuple):
    """What a line says at a moment.

    Attributes:
        what: a note (``F#5``, as it sounds) or a mark (``staccato``, ``mf``, ``pizz.``).
        time: divisions from the start of the piece.
        until: likewise; the same where it is for the moment only.
    """

    what: str
    time: int
    until: int


class Disagreement(NamedTuple):
    """A place where two lines that double each other do not say the same.

    Attributes:
        kind: ``pitch`` another one at the same time, ``alteration`` the same letter in the
            same octave with another alteration, ``octave`` the same pitch class in another
            octave than it should be, ``spelling`` the same pitch by another letter, ``rhythm``
            a note that only one has, ``length``, or a kind of mark.
        time: divisions from the start of the piece.
        upper: what the upper line says; empty for nothing.
        lower: likewise.
    """

    kind: Kind
    time: int
    upper: tuple[Said, ...]
    lower: tuple[Said, ...]


def in_notes(doubling: Doubling) -> list[Disagreement]:
    """The disagreements of a doubling in pitch and rhythm, in the order of time."""
    found = [_differing(one, doubling.octaves) for one in doubling.differing]
    for upper, lower in doubling.agreeing:
        found += _between(upper, lower)
    return sorted(found, key=lambda one: one.time)


def _differing(one: Differing, octaves: int) -> Disagreement:
    kind = _kind(one.upper, one.lower, octaves)
    return Disagreement(kind, one.time, _said(one.upper), _said(one.lower))


def _kind(upper: HeardNote | None, lower: HeardNote | None, octaves: int) -> NoteKind:
    if upper is None or lower is None:
        return "rhythm"
    apart = upper.sounding - lower.sounding - 12 * octaves
    if apart % 12 == 0:
        return "octave"
    if upper.letter == lower.letter and abs(apart) <= _A_WHOLE_TONE:
        return "alteration"
    return "pitch"


def _between(upper: HeardNote, lower: HeardNote) -> Iterator[Disagreement]:
    """The disagreements of two notes that agree in onset and pitch class."""
    kinds: dict[NoteKind, bool] = {
        "spelling": upper.fifths != lower.fifths,
        "length": upper.end != lower.end,
    }
    for kind, differs in kinds.items():
        if differs:
            yield Disagreement(kind, upper.time, _said(upper), _said(lower))


def _said(note: HeardNote | None) -> tuple[Said, ...]:
    return () if note is None else (Said(note.name, note.time, note.end),)
