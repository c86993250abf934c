"""Words that say who of a section plays: div., unis., half, solo, tutti.

In English, Italian, German and French (common practice, no source). Only whole words count:
*Dividing the spoils* divides nobody.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import Final, Literal, NamedTuple

Division = Literal["div", "unis", "undivided", "share", "tutti"]
"""``div``: everybody, on several lines; ``share``: a part of the section alone, or several
beside each other (*solo*, *half*, *desk 2*, *the others*, *a 2*), until ``tutti`` or ``unis``;
``undivided``: everybody plays all notes of a chord."""


class DivisionSaid(NamedTuple):
    """What words say of who plays.

    Attributes:
        kind: of division.
        lines: in how many lines, where they say it; 0 where they do not.
        words: as they are printed.
    """

    kind: Division
    lines: int
    words: str


_LINE_WORDS: Final = {
    "en": {
        "half": "half", "third": "a third", "desk": "desk {first}",
        "desks": "desks {first}\N{EN DASH}{last}", "solo": "solo", "others": "the others",
        "tutti": "tutti", "div": "div.", "unis": "unis.",
    },
    "it": {
        "half": "metà", "third": "un terzo", "desk": "{first}\N{DEGREE SIGN} leggio",
        "desks": "leggii {first}\N{EN DASH}{last}", "solo": "solo", "others": "gli altri",
        "tutti": "tutti", "div": "div.", "unis": "unis.",
    },
    "de": {
        "half": "die Hälfte", "third": "ein Drittel", "desk": "{first}. Pult",
        "desks": "{first}.\N{EN DASH}{last}. Pult", "solo": "solo", "others": "die übrigen",
        "tutti": "tutti", "div": "geteilt", "unis": "zusammen",
    },
    "fr": {
        "half": "la moitié", "third": "un tiers", "desk": "pupitre {first}",
        "desks": "pupitres {first}\N{EN DASH}{last}", "solo": "solo", "others": "les autres",
        "tutti": "tutti", "div": "div.", "unis": "unis",
    },
}  # fmt: skip


_NUMBERS: Final = {
    "due": 2, "deux": 2, "two": 2, "zwei": 2, "tre": 3, "trois": 3, "three": 3, "drei": 3,
    "quattro": 4, "quatre": 4, "four": 4, "vier": 4,
    "zweifach": 2, "dreifach": 3, "vierfach": 4,
}  # fmt: skip
_NUMBER: Final = rf"[2-9]|{'|'.join(_NUMBERS)}"
_DESK: Final = r"(?:desks?|stands?|pulte?|leggi[oi]|leggii|pupitres?)"
_WORDS: Final[tuple[tuple[Division, str], ...]] = (
    ("undivided", r"(?:non|not|nicht|pas)[\s-]+(?:div(?:is[ie]s?|isées?|ided|\.)?|geteilt|"
                  r"get\.)|undivided|ungeteilt"),
    ("div", r"div(?:is[ie]|isés?|isées?|ided|\.)?|(?:(?:zwei|drei|vier)fach\s+)?geteilt|get\."),
    ("unis", r"unis(?:ono|on|sono|s\.|\.)?|(?:à|a)\s+l['\u2019]unisson|zusammen"),
    ("tutti", r"tutti|tutte|alle|tous|toutes|ripien[io]|all"),
    ("share", rf"sol[oiae]|half|halves|(?:la\s+)?metà|(?:die\s+)?hälfte|(?:la\s+)?moitié|"
              rf"(?:a\s+)?third|(?:un\s+)?terzo|(?:ein\s+)?drittel|(?:un\s+)?tiers|{_DESK}|"
              rf"others|(?:gli|le)\s+altr[ie]|(?:die\s+)?(?:übrigen|anderen)|les\s+autres|"
              rf"[aà]\s*(?:{_NUMBER})|inside|outside"),
)  # fmt: skip
_PART_OF_ONE: Final = re.compile(
    r"div|get|unis|zusammen|tutt|all|tou|rip|sol|hal|h\u00e4lf|met\u00e0|moiti|third|terz|tier|"
    r"drittel|desk|stand|pult|leggi|pupitre|other|altr|\u00fcbrig|ander|autres|side|"
    r"[a\u00e0]\s*[2-9dqtzfv]",
    re.IGNORECASE,
)
"""A part of each of these words, found without all of them."""
_IN_LINES: Final = re.compile(rf"\b(?P<number>{_NUMBER})\b", re.IGNORECASE)
_LONE: Final = frozenset(("all", "alle", "third"))
"""Words that mean players only where nothing else stands beside them."""


@cache
def _pattern() -> re.Pattern[str]:
    """Matches all words; made when there may be one, as that takes milliseconds."""
    return re.compile(
        "|".join(
            rf"(?P<w{at}>(?<![\w'\u2019])(?:{pattern})(?![\w'\u2019]))"
            for at, (_, pattern) in enumerate(_WORDS)
        ),
        re.IGNORECASE,
    )


@lru_cache(maxsize=4096)
def divisions_in(text: str) -> tuple[DivisionSaid, ...]:
    """What words say of who plays, in the order they stand.

    Args:
        text: as it is printed.

    >>> divisions_in("div. a 3, con sord.")
    (DivisionSaid(kind='div', lines=3, words='div.'),)
    >>> divisions_in("Dividing the spoils"), divisions_in("alle Glocken")
    ((), ())
    """
    if not _PART_OF_ONE.search(text):
        return ()
    found: list[DivisionSaid] = []
    for match in _pattern().finditer(text):
        if match[0].casefold() in _LONE and text.strip(" .[]()").casefold() not in _LONE:
            continue
        kind, _ = _WORDS[int((match.lastgroup or "w0")[1:])]
        if kind == "share" and found and found[-1].kind == "div":
            continue  # the number of lines, or who plays which
        lines = _lines(text[match.start() :]) if kind == "div" else 0
        found.append(DivisionSaid(kind, lines, match[0]))
    return tuple(found)


def _lines(text: str) -> int:
    match = _IN_LINES.search(text)
    if match is None:
        return next((_NUMBERS[word] for word in _NUMBERS if text.lower().startswith(word)), 0)
    number = match["number"].lower()
    return _NUMBERS.get(number) or int(number)


def said(word: str, language: str) -> str:
    """``div``, ``unis``, ``tutti`` ... in the language of the parts."""
    return _LINE_WORDS.get(language, _LINE_WORDS["en"])[word]
