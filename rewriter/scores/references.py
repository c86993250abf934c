"""What in a bar names something by its id that only another part of the score has.

An id that leads nowhere makes a file invalid (W3C MusicXML 4.0: these attributes are of type
IDREF).
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.escaping import word

if TYPE_CHECKING:
    from collections.abc import Container

    from lxml.etree import _Element as Element

_NAMED_BY: Final = {
    "instrument": "id", "instrument-change": "id", "midi-device": "id",
    "midi-instrument": "id", "play": "id", "assess": "player", "wait": "player",
    "sync": "player", "other-listening": "player",
}  # fmt: skip
"""Elements of a bar that name something of the part list, and the attribute they do it by."""

_SIGNS: Final = (b"<instrument", b"<midi-", b"<play ", b" player=")
_NAMED: Final = re.compile(
    rb"<(?:" + b"|".join(map(word, _NAMED_BY)) + rb')(?= )[^>]*? (?:id|player)="([^"]*)"'
)
_HOLDERS: Final = frozenset(("sound", "listen", "listening"))
"""Elements that say nothing once they are empty."""


def own_names(entry: Element) -> set[str]:
    """The ids of a part's instruments and players.

    Args:
        entry: its ``<score-part>``.
    """
    return {str(named.get("id")) for named in entry.iter("score-instrument", "player")}


def names_strangers(bar: bytes, own: Container[str]) -> bool:
    """True for a bar that names instruments or players of other parts.

    Args:
        bar: as lxml writes it.
        own: ids of the part's own.
    """
    return any(sign in bar for sign in _SIGNS) and any(
        name.decode() not in own for name in _NAMED.findall(bar)
    )


def forget_strangers(measure: Element, own: Container[str]) -> None:
    """Leave out of a bar what names instruments or players of other parts.

    Args:
        measure: is changed.
        own: ids of the part's own.
    """
    for element in list(measure.iter(*_NAMED_BY)):
        name = element.get(_NAMED_BY[str(element.tag)])
        holder = element.getparent()
        if name is None or name in own or holder is None:
            continue
        holder.remove(element)
        above = holder.getparent()
        says = holder.attrib or any(child.tag != "offset" for child in holder)
        if str(holder.tag) in _HOLDERS and not says and above is not None:
            above.remove(holder)
