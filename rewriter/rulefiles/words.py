"""Kinds of text that rule files hold, as the JSON Schemas know them too."""

from typing import Annotated

from msgspec import Meta

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
