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

    Of several words the last that is one counts.

    >>> [lasting(mark) for mark in ("mf", "fp", "sfpp", "pf", "sfz", "rf", "p dolce", "poco f")]
    ['mf', 'p', 'pp', 'f', '', '', 'p', 'f']
    """
    for word in reversed(mark.split()):
        if found := _LASTING.fullmatch(word):
            return found["soft"] or found["full"] or word
    return ""


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


_LEVELS: Final = (
    r"p{1,5}|f{1,5}|m[pf]|piano|forte|(?:pian|fort)issimo|sotto voce|mezza voce|"
    r"mezzo ?(?:piano|forte)|leise|laut|stark|schwach|zart|doux|fort|soft|softly|loud|loudly|"
    r"quiet|quietly"
)
_CHANGES: Final = (
    r"[sr]?fz?p?|cresc\w*|decresc\w*|dim\w*|morendo|perdendosi|smorz\w*|calando|niente|"
    r"leiser|lauter|softer|louder|quieter"
)
_LEVEL_IN_WORDS: Final = re.compile(rf"\b(?:{_LEVELS})\b", re.IGNORECASE)
_IN_WORDS: Final = re.compile(rf"\b(?:{_LEVELS}|{_CHANGES})\b", re.IGNORECASE)
"""Common practice, no source."""


def says_dynamic(words: str) -> bool:
    """True for words over a staff that say how loud it is, or that it changes.

    >>> [says_dynamic(words) for words in ("sempre pp", "poco cresc.", "dolce")]
    [True, True, False]
    """
    return _IN_WORDS.search(words) is not None


def says_level(words: str) -> bool:
    """True for words that say how loud it is from there on.

    >>> [says_level(words) for words in ("sempre pp", "sotto voce", "poco cresc.")]
    [True, True, False]
    """
    return _LEVEL_IN_WORDS.search(words) is not None
