"""What is left out of bars before they are looked into: comments, places on the page."""

from __future__ import annotations

import re
from functools import partial
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.musicxml.note_reading import POSITIONS

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


class Leaving(NamedTuple):
    """One kind of thing that is left out of the bytes of events.

    Attributes:
        pattern: matches it; begins with a literal, so that the search for it is fast.
        signs: pieces of text; in a text that has none of them there is nothing to leave out.
    """

    pattern: re.Pattern[bytes]
    signs: tuple[bytes, ...]


def leaving(pattern: bytes, *signs: bytes) -> Leaving:
    """One kind of thing to leave out, by a pattern and signs."""
    return Leaving(re.compile(pattern, re.DOTALL), signs)


ASIDES: Final = (leaving(rb"<!--.*?-->", b"<!--"), leaving(rb"<\?.*?\?>", b"<?"))
"""Comments and processing instructions."""

PLACES_ON_THE_PAGE: Final = (
    *ASIDES,
    leaving(
        b" (?:" + "|".join(POSITIONS).encode() + rb')="[^"]*"',
        b" default-",
        b" relative-",
        b" bezier-",
    ),
)
"""Comments, processing instructions, and where signs stand on their page."""

_LIKE_AN_ATTRIBUTE: Final = re.compile(rb'>[^<>="]+="')
_TAGS: Final = re.compile(rb"<stem.*?</stem>|<[^>]*>", re.DOTALL)


def left_out_of(bars: Sequence[bytes], kinds: Iterable[Leaving]) -> list[bytes]:
    """Bars without some kinds of things.

    Args:
        bars: as lxml writes them.
        kinds: comments first, since anything may stand in them.
    """
    whole = b"\0".join(bars)  # which no XML holds
    for pattern, signs in kinds:
        if not any(sign in whole for sign in signs):
            continue
        if signs[0][:1] == b" " and _LIKE_AN_ATTRIBUTE.search(whole):  # in the words of a sign
            whole = _TAGS.sub(partial(_out_of_tag, pattern), whole)
        else:
            whole = pattern.sub(b"", whole)
    return whole.split(b"\0")


def _out_of_tag(pattern: re.Pattern[bytes], match: re.Match[bytes]) -> bytes:
    return pattern.sub(b"", match[0])
