"""Signs of a note put in and taken out: what hangs on it, its accidental, the ends of ties.

Notes are given and returned as they stand in their file (:func:`bar_children`); what does not
concern the sign keeps its bytes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from rewriter.editing.cutting import attribute_in
from rewriter.editing.elements import found_in, with_changed, with_child, with_only, without
from rewriter.editing.music import tag_of
from rewriter.musicxml.escaping import word
from rewriter.musicxml.schema_order import family_of

if TYPE_CHECKING:
    from collections.abc import Callable

End = Literal["start", "stop"]


def with_notation(note: bytes, sign: bytes) -> bytes:
    """A note with a sign more: an articulation, a bowing, a fermata, an end of a slur.

    Args:
        note: as it stands in its file.
        sign: UTF-8, such as ``<staccato/>``; its family is found or made.

    >>> with_notation(b"<note><rest/></note>", b"<accent/>")
    b'<note><rest/><notations><articulations><accent/></articulations></notations></note>'
    """
    family = family_of(tag_of(sign))
    if not found_in(note, "notations"):
        return with_child(note, b"<notations>%b</notations>" % _in_family(sign, family))
    return with_changed(note, "notations", lambda notations: _grown(notations, family, sign))


def _grown(notations: bytes, family: str, sign: bytes) -> bytes:
    if family and found_in(notations, family):
        return with_changed(notations, family, lambda members: with_child(members, sign))
    return with_child(notations, _in_family(sign, family))


def without_notations(
    note: bytes, tag: str, wanted: Callable[[bytes], bool] | None = None
) -> bytes:
    """A note without signs of a name, such as ``staccato``.

    Args:
        note: as it stands in its file.
        tag: name of the signs.
        wanted: True for those that go; all of them without it.

    >>> without_notations(with_notation(b"<note><rest/></note>", b"<accent/>"), "accent")
    b'<note><rest/></note>'
    """
    family = family_of(tag)
    path = ("notations", family, tag) if family else ("notations", tag)
    return without(note, *path, wanted=wanted)


def with_accidental(note: bytes, accidental: bytes) -> bytes:
    """A note that prints a sign, in place of the one it printed.

    Args:
        note: as it stands in its file.
        accidental: ``<accidental>``; empty for none.

    >>> with_accidental(b"<note><type>half</type><staff>1</staff></note>",
    ...                 b"<accidental>flat</accidental>")
    b'<note><type>half</type><accidental>flat</accidental><staff>1</staff></note>'
    """
    return with_only(note, accidental) if accidental else without(note, "accidental")


def with_tie(note: bytes, end: End) -> bytes:
    """A note at which a tie begins or ends, heard and drawn; as it was where one does.

    >>> with_tie(b"<note/>", "start")
    b'<note><tie type="start"/><notations><tied type="start"/></notations></note>'
    """
    kind = word(end)
    if not any(_is_end(tie, end) for tie in found_in(note, "tie")):
        note = with_child(note, b'<tie type="%b"/>' % kind)
    if not any(_is_end(tied, end) for tied in found_in(note, "notations", "tied")):
        note = with_notation(note, b'<tied type="%b"/>' % kind)
    return note


def without_tie(note: bytes, end: End) -> bytes:
    """A note at which no tie begins, or ends."""
    note = without(note, "tie", wanted=lambda tie: _is_end(tie, end))
    return without_notations(note, "tied", lambda tied: _is_end(tied, end))


def _is_end(sign: bytes, end: End) -> bool:
    return attribute_in(sign, "type") == end


def _in_family(sign: bytes, family: str) -> bytes:
    return b"<%b>%b</%b>" % (word(family), sign, word(family)) if family else sign
