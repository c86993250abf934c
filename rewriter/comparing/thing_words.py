"""What a thing in a score says, for people: clefs by their names, keys by their signs."""

from __future__ import annotations

from typing import Final

from rewriter.theory.numbers import whole

_CLEFS: Final = {
    "G2": "treble", "F4": "bass", "C3": "alto", "C4": "tenor", "C1": "soprano",
}  # fmt: skip
_LINES: Final = {
    "8 down": "8va", "8 up": "8vb", "15 down": "15ma", "15 up": "15mb",
}  # fmt: skip
"""The standard says where notes are printed, players where they sound."""

_UNSAID: Final = {
    "fermata": "normal", "notehead": "normal", "staff": "1", "glissando": "a line",
    "ending": "closed", "pedal": "plain",
}  # fmt: skip


def thing_said(kind: str, what: str) -> str:
    """What a thing says, in words that players use; empty where its kind says it all.

    Args:
        kind: of thing, as comparing has it.
        what: likewise.

    >>> thing_said("clef", "C3"), thing_said("key", "-2"), thing_said("8va line", "8 down")
    ('alto', '2 flats', '8va')
    """
    if kind == "clef":
        sign, _, octaves = what.partition(" ")
        return " ".join(filter(None, (_CLEFS.get(sign, sign), _octaves(octaves))))
    if kind == "key":
        return _key(what)
    if kind == "8va line":
        return _LINES.get(what, what)
    if kind == "length":
        return f"{what} {'quarter' if what == '1' else 'quarters'}"
    if kind == "transposition" and what:
        return f"sounding {what.partition(' ')[2]} semitones from what is written"
    return what


def unsaid(kind: str) -> str:
    """What is meant where a thing of this kind says nothing; empty where nothing is."""
    return _UNSAID.get(kind, "")


def _key(what: str) -> str:
    fifths = whole(what)
    if fifths is None:
        return what
    if not fifths:
        return "no sharps or flats"
    sign = "sharp" if fifths > 0 else "flat"
    return f"{abs(fifths)} {sign}{'s' * (abs(fifths) > 1)}"


def _octaves(said: str) -> str:
    octaves = whole(said) if said else None
    if not octaves:
        return said
    far = abs(octaves)
    return f"{far} octave{'s' * (far > 1)} {'up' if octaves > 0 else 'down'}"
