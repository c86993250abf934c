"""Words for ways of playing that stay in force until others of their family.

In Italian, German, French and English (common practice, no source). Only whole words count:
``Marco enters`` is no arco.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import Final, NamedTuple

Family = str
"""``bow``, ``mute``, ``place`` on the string, ``stroke``."""


class Technique(NamedTuple):
    """A way of playing that words ask for.

    Attributes:
        family: it belongs to.
        value: such as ``pizz``; what is played without any word has the value in `ORDINARY`.
        words: as they are printed.
    """

    family: Family
    value: str
    words: str


Ways = dict[Family, Technique]
"""By family, what was told last."""

ORDINARY: Final[dict[Family, str]] = {
    "place": "ord", "bow": "arco", "mute": "open", "stroke": "plain",
}  # fmt: skip
"""How everybody plays who has been told nothing; what may end another comes before it."""

_CANCELLING: Final = {
    "en": {"bow": "arco", "mute": "senza sord.", "place": "ord.", "stroke": "non trem."},
    "it": {"bow": "arco", "mute": "senza sord.", "place": "ord.", "stroke": "non trem."},
    "de": {"bow": "arco", "mute": "ohne Dämpfer", "place": "ord.", "stroke": "ohne Tremolo"},
    "fr": {"bow": "arco", "mute": "sans sourdines", "place": "ord.", "stroke": "sans trémolo"},
}

_SORD: Final = r"sord(?:in[aeio]|\.)?"
_DAMPER: Final = r"d(?:ä|ae)mpfern?"
_TREMOLO: Final = r"tr[eé]m(?:olo|olando|\.)?"
_WORDS: Final = (
    ("bow", "pizz", r"pizz(?:icat[oi]|\.)?|gezupft|pinc[eé]|plucked"),
    ("bow", "arco", r"(?:col(?:l['\u2019])?\s*)?arco|(?:mit(?:\s+dem)?\s+)?bogen|gestrichen|"
                    r"(?:avec\s+l['\u2019])?archet|bowed|with\s+(?:the\s+)?bow"),
    ("bow", "legno", r"col\s+legno(?:\s+(?:battuto|batt\.|tratto))?|c\.\s?l\.|"
                     r"mit\s+(?:dem\s+)?holz|avec\s+le\s+bois|with\s+the\s+wood"),
    ("mute", "muted", rf"con\s+{_SORD}|mit\s+{_DAMPER}|m\.\s?d(?:pf)?\.|gedämpft|"
                      r"(?:avec|mettez\s+les)\s+sourdines?|with\s+mutes?|mutes?\s+on"),
    ("mute", "open", rf"(?:senza|via|levate\s+i|via\s+i)\s+{_SORD}|ohne\s+{_DAMPER}|"
                     rf"o\.\s?d(?:pf)?\.|{_DAMPER}\s+(?:ab|weg)|"
                     r"(?:sans|[oô]tez\s+les|[oô]ter\s+les)\s+sourdines?|without\s+mutes?|"
                     r"mutes?\s+off|unmuted"),
    ("place", "pont", r"sul\s+pont(?:icello|\.)?|am\s+steg|(?:au|sur\s+le)\s+chevalet|"
                      r"(?:at|near|on)\s+the\s+bridge"),
    ("place", "tasto", r"sul(?:la)?\s+tast(?:o|iera)|(?:am|auf\s+dem)\s+griffbrett|"
                       r"sur\s+la\s+touche|(?:on|over)\s+the\s+fingerboard"),
    ("place", "ord", r"(?:(?:modo|position)\s+)?ord(?:inari[oae]|inaire|\.)?|"
                     r"(?:pos(?:izione|\.)?\s+)?nat(?:urale|\.)|position\s+naturelle|"
                     r"gewöhnlich"),
    ("stroke", "plain", rf"(?:non|senza|ohne|sans|without)\s+{_TREMOLO}"),
    ("stroke", "trem", _TREMOLO),
)  # fmt: skip
_ALONE: Final = {
    "muted": ("mute", "muted"), "open": ("mute", "open"), "sordini": ("mute", "muted"),
    "normal": ("place", "ord"), "tasto": ("place", "tasto"), "pont.": ("place", "pont"),
}  # fmt: skip
"""Words that are a technique where nothing else stands beside them."""


_PART_OF_ONE: Final = re.compile(
    r"pi(?:zz|nc)|gezupft|pluck|arco|bogen|gestrichen|archet|bow|legno|\b[cmo]\.|holz|bois|"
    r"wood|sord|mpf|mute|sourd|pont|steg|chevalet|bridge|tast|griff|touche|finger|ord|nat|"
    r"gew|tr[eé]m",
    re.IGNORECASE,
)
"""A part of each of these words, found without all of them."""


@cache
def _pattern() -> re.Pattern[str]:
    """Matches all words; made when there may be one, as that takes milliseconds."""
    return re.compile(
        "|".join(
            rf"(?P<w{at}>(?<![\w'\u2019-])(?:{pattern})(?![\w'\u2019-]))"
            for at, (_, _, pattern) in enumerate(_WORDS)
        ),
        re.IGNORECASE,
    )


@lru_cache(maxsize=4096)
def techniques_in(text: str) -> tuple[Technique, ...]:
    """The ways of playing that words ask for, in the order they stand.

    >>> [one.words for one in techniques_in("pizz., con sord.")]
    ['pizz.', 'con sord.']
    >>> techniques_in("Marco enters"), techniques_in("The door opens")
    ((), ())
    """
    alone = _ALONE.get(text.strip().casefold())
    found = [Technique(*alone, text.strip())] if alone else []
    matches = _pattern().finditer(text) if _PART_OF_ONE.search(text) else ()
    for match in matches:
        family, value, _ = _WORDS[int((match.lastgroup or "w0")[1:])]
        found.append(Technique(family, value, match[0]))
    return tuple(found)


def cancelling(family: Family, language: str) -> str:
    """The words that bring players back to how everybody plays.

    Args:
        family: of the technique that ends.
        language: of the words in the parts: en, it, de or fr.
    """
    return _CANCELLING.get(language, _CANCELLING["en"])[family]


def after(ways: Ways, technique: Technique) -> Ways:
    """How players play once they are told something more.

    ``ord.`` takes the bow back from the wood as well, and whatever is said of the bow ends a
    tremolo that only words ask for.

    Args:
        ways: by family, as they play before; what is not in it is ordinary.
        technique: what they are told.
    """
    now = {**ways, technique.family: technique}
    if technique.family == "bow" or technique.value == "ord":
        now.pop("stroke", None)
    if technique.value == "ord" and "bow" in now and now["bow"].value == "legno":
        del now["bow"]
    return now
