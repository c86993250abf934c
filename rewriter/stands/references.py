"""What in a part names something by its id that only another part of the score has.

A part by itself has its own instruments and players alone, and an id that leads nowhere makes
a file invalid (W3C MusicXML 4.0: these attributes are of type IDREF).
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.escaping import word
from rewriter.musicxml.note_reading import serialised

if TYPE_CHECKING:
    from collections.abc import Collection

    from lxml.etree import _Element as Element

    from rewriter.stands.copying import PartCopy

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


def forget_other_parts(part: PartCopy) -> None:
    """Leave out what names instruments and players of other parts.

    Args:
        part: its bars are changed.
    """
    own = {str(named.get("id")) for named in part.of.entry.iter("score-instrument", "player")}
    for index, bar in enumerate(part.bars):
        if any(sign in bar for sign in _SIGNS) and any(
            name.decode() not in own for name in _NAMED.findall(bar)
        ):
            measure = part.tree(index)
            _forget(measure, own)
            part.bars[index] = serialised(measure)


def _forget(measure: Element, own: Collection[str]) -> None:
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
