"""How strong music is: marks that last, and what they mean for the strings."""

from __future__ import annotations

import re
from typing import Final, Literal

Strength = Literal["soft", "plain", "full"]
"""``soft`` is p and below, ``full`` f and above, ``plain`` what lies between and music without
dynamics (common practice, no source)."""

STRENGTHS: Final[tuple[Strength, ...]] = ("soft", "plain", "full")

_LASTING: Final = re.compile(r"(?:s?f+z?)?(?P<soft>p+)|(?P<n>n)|m[pf]|p?(?P<full>f+)")


def lasting(mark: str) -> str:
    """The dynamic that is in force behind a mark; empty for an accent such as sf, fz.

    >>> [lasting(mark) for mark in ("mf", "fp", "sfpp", "pf", "sfz", "rf")]
    ['mf', 'p', 'pp', 'f', '', '']
    """
    found = _LASTING.fullmatch(mark)
    if found is None:
        return ""
    return found["soft"] or found["full"] or mark


def strength_of(dynamic: str) -> Strength:
    """How strong music is under a dynamic that lasts.

    >>> strength_of("pp"), strength_of("mf"), strength_of("ff")
    ('soft', 'plain', 'full')
    """
    if dynamic[0] == "f":
        return "full"
    return "plain" if dynamic[0] == "m" else "soft"


def loudness(dynamic: str) -> int:
    """Dynamics that last in order, softest lowest: to tell which of two is the louder.

    >>> sorted(["f", "n", "mp", "pp", "mf", "p"], key=loudness)
    ['n', 'pp', 'p', 'mp', 'mf', 'f']
    """
    if dynamic == "n":
        return -99
    if dynamic[0] == "m":
        return 0 if dynamic == "mp" else 1
    return len(dynamic) + 1 if dynamic[0] == "f" else -len(dynamic)
