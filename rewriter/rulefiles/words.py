"""Kinds of text that rule files hold, as the JSON Schemas know them too."""

from typing import Annotated, Literal, get_args

from msgspec import Meta

from rewriter.theory.fifths import Direction

Language = Literal["en", "it", "de", "fr"]
ClefName = Literal["treble", "alto", "tenor", "bass"]
OutOfRange = Literal["keep", "octave", "rest", "refuse"]
Chords = Literal["top", "divide"]
HandoverAt = Literal["slur", "bar", "rest"]
RegisterSet = Literal["singing", "measured"]

_ORDERS = [
    get_args(choice)
    for choice in (Language, ClefName, OutOfRange, Chords, HandoverAt, RegisterSet, Direction)
]


def in_order(choices: tuple[str, ...]) -> tuple[str, ...]:
    """Allowed words in the order they are written above; msgspec sorts them."""
    return next((order for order in _ORDERS if set(order) == set(choices)), choices)


PITCH_PATTERN = r"^[A-Ga-g](#{1,2}|b{1,2})?-?[0-9]$"
DYNAMIC_PATTERN = r"^(p{1,6}|f{1,6}|mp|mf|[-+\u2212][1-5])$"

PitchText = Annotated[
    str, Meta(pattern=PITCH_PATTERN, description="Sounding pitch, middle C is C4.")
]
DynamicText = Annotated[
    str,
    Meta(pattern=DYNAMIC_PATTERN, description="A dynamic, or steps from the tune's: -1, +1."),
]
Words = Annotated[str, Meta(min_length=1)]
