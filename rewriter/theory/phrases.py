"""Words over a staff taken apart: which known phrases a text is made of, in any spelling.

Capitals, accents, dots and hyphens are the copyist's affair: ``Più mosso``, ``piu mosso.`` and
``PIÙ MOSSO`` are the same words.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final
from unicodedata import combining, normalize

import msgspec

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

_WORD: Final = re.compile(r"[^\W_]+")
_LONGEST: Final = 5
"""Words in a phrase, at the most."""


class Piece(msgspec.Struct, frozen=True):
    """A known phrase in a text, or a word that is none.

    Attributes:
        kind: of the phrase; empty for a word that is not known.
        start: index of its first character.
        stop: index behind its last.
    """

    kind: str
    start: int
    stop: int


def plain(word: str) -> str:
    """A word without accents, in small letters.

    >>> plain("Più"), plain("Mäßig")
    ('piu', 'massig')
    """
    letters = normalize("NFKD", word.casefold())
    return "".join(letter for letter in letters if not combining(letter))


def plain_words(text: str) -> str:
    """A text as its plain words with a space between them.

    >>> plain_words("L'istesso  tempo.")
    'l istesso tempo'
    """
    return " ".join(plain(word) for word in _WORD.findall(normalize("NFC", text)))


def are_same(words: str, others: str) -> bool:
    """True when two texts say the same, whichever of their words are written short.

    Args:
        words: from :func:`plain_words`.
        others: likewise.

    >>> are_same("poco rit", "poco ritard"), are_same("allegro", "allegro con brio")
    (True, False)
    """
    pairs = list(zip(words.split(), others.split(), strict=False))
    count = max(words.count(" "), others.count(" ")) + 1
    return len(pairs) == count and all(
        one.startswith(other) or other.startswith(one) for one, other in pairs
    )


def phrases(kind: str, text: str) -> dict[str, str]:
    """A table row: phrases divided by commas or lines, each of the same kind."""
    said = map(plain_words, re.split(r"[,\n]", text))
    return {phrase: kind for phrase in said if phrase}


def pieces(text: str, kinds: Mapping[str, str]) -> Iterator[Piece]:
    """The phrases a text is made of, the longest first, from left to right.

    Args:
        text: as it is printed.
        kinds: phrase → its kind, from :func:`phrases`.
    """
    found = list(_WORD.finditer(normalize("NFC", text)))
    words = [plain(match[0]) for match in found]
    at = 0
    while at < len(words):
        for size in range(min(_LONGEST, len(words) - at), 0, -1):
            kind = kinds.get(" ".join(words[at : at + size]), "")
            if kind or size == 1:
                yield Piece(kind, found[at].start(), found[at + size - 1].end())
                at += size
                break


def joined(text: str) -> str:
    """A word that is printed in syllables, as one: ``ral - len - tan - do``."""
    return plain("".join(_WORD.findall(text)))
