"""What stands above the part list: titles, credits, page, where the file comes from."""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Final

import msgspec
from lxml import etree

from rewriter.musicxml.escaping import escaped, word
from rewriter.musicxml.note_reading import serialised
from rewriter.musicxml.saving import PLACEHOLDER

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

HEAD: Final = (
    b'<?xml version="1.0" encoding="UTF-8"?>\n'
    b'<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    b' "http://www.musicxml.org/dtds/partwise.dtd">\n'
    b'<score-partwise version="4.0">\n'
)
"""How every file of the tool begins."""

_KEPT_DEFAULTS: Final = ("scaling", "concert-score", "page-layout", "appearance", "music-font",
                         "word-font", "lyric-font", "lyric-language")  # fmt: skip

_A4_PAGE: Final = (
    b"<page-layout><page-height>1697</page-height><page-width>1200</page-width>"
    b'<page-margins type="both"><left-margin>86</left-margin><right-margin>86</right-margin>'
    b"<top-margin>86</top-margin><bottom-margin>86</bottom-margin></page-margins>"
    b"</page-layout>\n"
)
_SCALING: Final = b"<scaling><millimeters>7</millimeters><tenths>40</tenths></scaling>\n"
"""A staff 7 mm high, the size of a part on a stand; A4 in its tenths above."""

_DIGEST: Final = "content-digest"
_OWN_FIELDS: Final = frozenset((_DIGEST, "made-by", "sketch-digest", "layout-digest"))


KEPT_SKETCH: Final = "sketch-"
"""What ids of parts begin with that are not a section's but the sketch's, kept below."""


def is_made_from_a_sketch(root: Element) -> bool:
    """True for a score that says which sketch it was made from.

    Args:
        root: its header.
    """
    fields = root.iterfind("identification/miscellaneous/miscellaneous-field")
    return any(field.get("name") == "sketch-digest" for field in fields)


class Origin(msgspec.Struct, frozen=True):
    """What the file says about where it comes from.

    Attributes:
        maker: name and version of the tool.
        sketch_digest: of the sketch's MusicXML.
        layout_digest: of the layout or plan.
    """

    maker: str
    sketch_digest: str
    layout_digest: str


def heading(root: Element, origin: Origin) -> bytes:
    """The score header up to the part list, from the sketch's own.

    Args:
        root: the sketch; not changed.
        origin: for the identification.
    """
    root = _without_digests(root)
    pieces = [
        serialised(child) + b"\n"
        for child in root
        if child.tag in {"work", "movement-number", "movement-title"}
    ]
    pieces.append(_identification(root.find("identification"), origin))
    pieces.append(_defaults(root.find("defaults")))
    has_page = root.find("defaults/page-layout") is not None
    pieces += [_credit(credit, keep_place=has_page) for credit in root.iterfind("credit")]
    return b"".join(pieces)


def _without_digests(root: Element) -> Element:
    """The score without digests: a forged one would pass for the tool's own."""
    if not any(map(_is_digest, root.iter("miscellaneous-field"))):
        return root
    root = deepcopy(root)
    for field in list(filter(_is_digest, root.iter("miscellaneous-field"))):
        holder = field.getparent()
        if holder is not None:
            holder.remove(field)
    return root


def _is_digest(field: Element) -> bool:
    return field.get("name") == _DIGEST


def _identification(old: Element | None, origin: Origin) -> bytes:
    kept: dict[str, list[bytes]] = {}
    for child in old if old is not None else ():
        kept.setdefault(str(child.tag), []).append(serialised(child) + b"\n")
    fields = [
        serialised(field) + b"\n"
        for field in (
            old.iterfind("miscellaneous/miscellaneous-field") if old is not None else ()
        )
        if field.get("name") not in _OWN_FIELDS
    ]
    own = (
        (_DIGEST, PLACEHOLDER),
        ("made-by", origin.maker),
        ("sketch-digest", origin.sketch_digest),
        ("layout-digest", origin.layout_digest),
    )
    fields += [
        b'<miscellaneous-field name="%b">%b</miscellaneous-field>\n'
        % (word(name), escaped(text))
        for name, text in own
    ]
    return b"".join(
        (
            b"<identification>\n",
            *kept.get("creator", ()),
            *kept.get("rights", ()),
            b"<encoding><software>%b</software></encoding>\n" % escaped(origin.maker),
            *kept.get("source", ()),
            *kept.get("relation", ()),
            b"<miscellaneous>\n",
            *fields,
            b"</miscellaneous>\n</identification>\n",
        )
    )


def _defaults(old: Element | None) -> bytes:
    kept: list[bytes] = []
    page = old.find("page-layout") if old is not None else None
    for tag in _KEPT_DEFAULTS:
        found = [serialised(e) + b"\n" for e in (old.iterfind(tag) if old is not None else ())]
        if tag == "scaling" and page is None:
            found = [_SCALING]
        if tag == "page-layout" and page is None:
            found = [_A4_PAGE]
        kept += found
    return b"<defaults>\n" + b"".join(kept) + b"</defaults>\n"


_SIDES: Final = {
    "composer": "right",
    "arranger": "right",
    "lyricist": "left",
    "rights": "center",
}


def _credit(credit: Element, *, keep_place: bool) -> bytes:
    """A credit; where the sketch's page is not kept, placed by what it is."""
    credit = etree.fromstring(serialised(credit))
    etree.strip_attributes(credit, "id", "color")
    if not keep_place:
        etree.strip_attributes(credit, "default-x", "default-y", "relative-x", "relative-y")
        side = _SIDES.get(credit.findtext("credit-type") or "", "center")
        for words in credit.iterfind("credit-words"):
            words.set("justify", side)
            words.set("halign", side)
    return serialised(credit) + b"\n"
