"""What is left out of bars before they are looked into: comments, places on the page."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.musicxml.escaping import word
from rewriter.musicxml.note_reading import POSITIONS

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


class Leaving(NamedTuple):
    """One kind of thing that is left out of the bytes of events.

    Attributes:
        pattern: matches it; begins with a literal, so that the search for it is fast.
        signs: pieces of text; in a text that has none of them there is nothing to leave out.
            None where looking for them takes as long as the pattern.
    """

    pattern: re.Pattern[bytes]
    signs: tuple[bytes, ...]


def leaving(pattern: bytes, *signs: bytes) -> Leaving:
    """One kind of thing to leave out, by a pattern and signs."""
    return Leaving(re.compile(pattern, re.DOTALL), signs)


def attributes(*names: str) -> bytes:
    """A pattern for attributes, and not for words that look like one: a tag closes behind."""
    return b" (?:" + b"|".join(map(word, names)) + rb')="[^"]*"(?=[^<>]*>)'


ASIDES: Final = (leaving(rb"<!--.*?-->", b"<!--"), leaving(rb"<\?.*?\?>", b"<?"))
"""Comments and processing instructions."""

PLACES_ON_THE_PAGE: Final = (
    *ASIDES,
    leaving(attributes(*POSITIONS)),
)
"""Comments, processing instructions, and where signs stand on their page."""


def stands_in(sign: bytes, text: bytes) -> bool:
    """True when a piece of text stands in another.

    One letter is found ten times as fast as several; the second of ``<!`` and ``<?`` is rare.
    """
    return sign[1:2] in text and sign in text


def left_out_of(
    bars: Sequence[bytes], kinds: Iterable[Leaving]
) -> tuple[list[bytes], list[int]]:
    """Bars without some kinds of things, and how many of each kind there were.

    Args:
        bars: as lxml writes them.
        kinds: comments first, since anything may stand in them.
    """
    whole = b"\0".join(bars)  # which no XML holds
    counts: list[int] = []
    for pattern, signs in kinds:
        count = 0
        if not signs or any(stands_in(sign, whole) for sign in signs):
            whole, count = pattern.subn(b"", whole)
        counts.append(count)
    return whole.split(b"\0"), counts
