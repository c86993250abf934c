"""Words that name a string of an instrument: sul G, IV corda, D-Saite."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

_WORDS: Final = re.compile(
    r"\(?\b(?:(?:sul(?:la)?|auf der|sur la|on the)\s+)?(?:"
    r"(?P<letter>[GDAEC])(?:[- ](?:string|saite|corde?))|"
    r"(?P<roman>IV|III|II|I)\.?\s*(?:corda|corde|saite)|"
    r"(?P<number>[1-4])(?:a|e|me|ª|\.)?\s*(?:corda|corde|saite))\b\)?"
    r"|\(?\bsul\s+(?:(?P<sul>[GDAEC])|(?P<sul_roman>IV|III|II|I))\b\)?",
    re.IGNORECASE,
)
_ROMAN: Final = {"I": 1, "II": 2, "III": 3, "IV": 4}
_LETTERS: Final = {"C": 0, "D": 2, "E": 4, "G": 7, "A": 9}


def string_words(text: str) -> str:
    """The words in a text that name a string; empty for none.

    >>> string_words("sul G, dolce"), string_words("IV corda"), string_words("dolce")
    ('sul G', 'IV corda', '')
    """
    match = _WORDS.search(text)
    return match[0] if match else ""


def named_strings(words: str, strings: Sequence[int]) -> list[int]:
    """The open strings that words name.

    Args:
        words: from :func:`string_words`.
        strings: sounding MIDI numbers, lowest first.

    >>> named_strings("sul G", (55, 62, 69, 76)), named_strings("II corda", (36, 43, 50, 57))
    ([55], [50])
    """
    match = _WORDS.search(words)
    if match is None:
        return []
    letter = match["letter"] or match["sul"]
    if letter:
        return [string for string in strings if string % 12 == _LETTERS[letter.upper()]]
    roman = match["roman"] or match["sul_roman"]
    number = _ROMAN[roman.upper()] if roman else int(match["number"])
    return list(reversed(strings))[number - 1 : number]
