"""Kinds of text that rule files hold, as the JSON Schemas know them too."""

from typing import Annotated, Final, Literal, get_args

from msgspec import Meta

from rewriter.problems import Severity
from rewriter.theory.fifths import Direction

Language = Literal["en", "it", "de", "fr"]
ClefName = Literal["treble", "alto", "tenor", "bass"]
OutOfRange = Literal["keep", "octave", "rest", "refuse"]
Chords = Literal["top", "divide"]
HandoverAt = Literal["slur", "bar", "rest"]
RegisterSet = Literal["singing", "measured"]
HouseSeverity = Literal[Severity, "off"]
"""How grave a house takes what a rule finds, or that it does not look for it at all."""

SEVERITIES: Final[tuple[HouseSeverity, ...]] = (*get_args(Severity), "off")

_ORDERS = [
    SEVERITIES,
    *(
        get_args(choice)
        for choice in (
            Language, ClefName, OutOfRange, Chords, HandoverAt, RegisterSet, Direction,
        )
    ),
]  # fmt: skip


def in_order(choices: tuple[str, ...]) -> tuple[str, ...]:
    """Allowed words in the order they are written above; msgspec sorts them."""
    return next((order for order in _ORDERS if set(order) == set(choices)), choices)


PITCH_PATTERN = r"^[A-Ga-g](#{1,2}|b{1,2})?-?[0-9]$"
DYNAMIC_PATTERN = r"^(p{1,6}|f{1,6}|mp|mf|[-+\u2212][1-5])$"
STRENGTH_PATTERN = r"^(p{1,6}|f{1,6}|mp|mf)$"

PitchText = Annotated[
    str, Meta(pattern=PITCH_PATTERN, description="Sounding pitch, middle C is C4.")
]
DynamicText = Annotated[
    str,
    Meta(pattern=DYNAMIC_PATTERN, description="A dynamic, or steps from the tune's: -1, +1."),
]
StrengthText = Annotated[
    str,
    Meta(pattern=STRENGTH_PATTERN, description="A dynamic that lasts, from pppppp to ffffff."),
]
Words = Annotated[str, Meta(min_length=1)]
