"""An element as it stands in a file, with a child more or less; what stays keeps its bytes.

New children stand in the order of the schema (``musicxml.schema_order``) and take line and
indent from their neighbours.
"""

from __future__ import annotations

from itertools import takewhile
from typing import TYPE_CHECKING, Final

from rewriter.editing.cutting import attribute_span, inner_of, inside_of
from rewriter.editing.music import tag_of
from rewriter.musicxml.escaping import attribute, escaped
from rewriter.musicxml.schema_order import family_of, successors
from rewriter.scores.children import plain

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from rewriter.editing.cutting import Child, Inside

_NOTHING_WHEN_EMPTY: Final = frozenset(
    ("notations", "articulations", "technical", "ornaments", "direction-type", "attributes")
)
_NEEDS: Final = {"direction": b"direction-type"}
"""What an element is nothing without."""


def with_child(element: bytes, child: bytes) -> bytes:
    """An element with a child more: behind its like, before all that stands behind them.

    Args:
        element: as it stands in its file.
        child: UTF-8.

    >>> with_child(b"<note><type>eighth</type><beam>end</beam></note>", b"<dot/>")
    b'<note><type>eighth</type><dot/><beam>end</beam></note>'
    >>> with_child(b"<note/>", b"<rest/>")
    b'<note><rest/></note>'
    """
    inside = inside_of(element, 0)
    other = _first_behind(element, inside, tag_of(child))
    if other is not None:
        at = other.span.start
        return element[:at] + child + other.space + element[at:]
    if inside.children:
        last = inside.children[-1]
        at = last.span.stop
        return element[:at] + last.space + child + element[at:]
    return _filled(element, inside, child)


def place_of(element: bytes, tag: str) -> int:
    """Where in an element with children a new child goes, in bytes."""
    inside = inside_of(element, 0)
    other = _first_behind(element, inside, tag)
    return inside.children[-1].span.stop if other is None else other.span.start


def _first_behind(element: bytes, inside: Inside, tag: str) -> Child | None:
    behind = successors(tag_of(element), tag)
    return next((child for child in inside.children if child.tag.decode() in behind), None)


def _filled(element: bytes, inside: Inside, child: bytes) -> bytes:
    if inside.empty:
        opening = element[: inside.span.stop - len(b"/>")].rstrip()
        return opening + b">" + child + b"</%b>" % inside.empty
    return element[: inside.span.stop] + child + element[inside.span.stop :]


def with_only(element: bytes, child: bytes) -> bytes:
    """An element with a child in place of those that are called like it.

    >>> with_only(b"<clef><sign>G</sign><line>2</line></clef>", b"<line>1</line>")
    b'<clef><sign>G</sign><line>1</line></clef>'
    """
    inside = inside_of(element, 0)
    alike = [other for other in inside.children if other.tag.decode() == tag_of(child)]
    if not alike:
        return with_child(element, child)
    first, *more = alike
    for other in reversed(more):
        element = _without(element, other)
    return element[: first.span.start] + child + element[first.span.stop :]


def without(element: bytes, *path: str, wanted: Callable[[bytes], bool] | None = None) -> bytes:
    """An element without some children, or children of children.

    What held nothing else, comments too, goes with them: a family of notations, an
    ``<attributes>``, a ``<direction>`` without a type.

    Args:
        element: as it stands in its file.
        path: names that lead to the children, the last being theirs.
        wanted: True for those that go; all of them without it.

    Returns:
        Nothing where it has nothing left to say.

    >>> note = b'<note><rest/><notations><fermata/><slur type="stop"/></notations></note>'
    >>> without(note, "notations", "fermata")
    b'<note><rest/><notations><slur type="stop"/></notations></note>'
    >>> without(note, "notations", "slur", wanted=lambda slur: b"start" in slur) == note
    True
    """
    tag, *deeper = path
    was = element
    children = inside_of(element, 0).children
    for child in reversed(children):
        if child.tag.decode() != tag:
            continue
        own = element[child.span.start : child.span.stop]
        left = own
        if deeper:
            left = without(own, *deeper, wanted=wanted)
        elif wanted is None or wanted(own):
            left = b""
        if not left:
            for one in (*reversed(_going_with(children, child)), child):
                element = _without(element, one)
        elif left != own:
            element = element[: child.span.start] + left + element[child.span.stop :]
    return b"" if element != was and _says_nothing(element) else element


def _without(element: bytes, child: Child) -> bytes:
    return element[: child.span.start - len(child.space)] + element[child.span.stop :]


def _going_with(children: Sequence[Child], child: Child) -> list[Child]:
    """The accidentals of an ornament, which stand behind it."""
    if family_of(child.tag.decode()) != "ornaments":
        return []
    behind = children[children.index(child) + 1 :]
    return list(takewhile(lambda other: other.tag == b"accidental-mark", behind))


def _says_nothing(element: bytes) -> bool:
    tag = tag_of(element)
    inside = inside_of(element, 0)
    if tag in _NEEDS:
        return all(child.tag != _NEEDS[tag] for child in inside.children)
    between = element[inside.span.start : inside.span.stop]
    return tag in _NOTHING_WHEN_EMPTY and not between.strip()


def with_changed(element: bytes, tag: str, change: Callable[[bytes], bytes]) -> bytes:
    """An element whose last child of a name is changed.

    Args:
        element: as it stands in its file; it has such a child.
        tag: name of the child.
        change: from the child as it stands to what it becomes.
    """
    alike = [one.span for one in inside_of(element, 0).children if one.tag.decode() == tag]
    start, stop = alike[-1]
    return element[:start] + change(element[start:stop]) + element[stop:]


def found_in(element: bytes, *path: str) -> list[bytes]:
    """Children of an element, or children of children, as they stand in the file.

    Args:
        element: likewise.
        path: names that lead to them.

    >>> found_in(b"<note><beam>end</beam><notations><fermata/></notations></note>",
    ...          "notations", "fermata")
    [b'<fermata/>']
    """
    tag, *deeper = path
    children = [
        element[child.span.start : child.span.stop]
        for child in inside_of(element, 0).children
        if child.tag.decode() == tag
    ]
    if not deeper:
        return children
    return [found for child in children for found in found_in(child, *deeper)]


def text_in(element: bytes, *path: str) -> str:
    """The text of the first child found, without white space around; empty for none.

    >>> text_in(b"<note><staff> 2 </staff></note>", "staff")
    '2'
    """
    found = found_in(element, *path)
    if not found:
        return ""
    return plain(inner_of(found[0])).strip()


def with_text(element: bytes, text: str) -> bytes:
    """An element with another text in place of all that is in it.

    >>> with_text(b"<part-name print-object='no'>A</part-name>", "B & C")
    b"<part-name print-object='no'>B &amp; C</part-name>"
    """
    inside = inside_of(element, 0)
    if inside.empty:
        return _filled(element, inside, escaped(text))
    start, stop = inside.span
    return element[:start] + escaped(text) + element[stop:]


def without_attributes(element: bytes, names: Iterable[str]) -> bytes:
    """An element whose start tag has none of some attributes.

    >>> without_attributes(b'<accent default-x="3" placement="above"/>', ("default-x",))
    b'<accent placement="above"/>'
    """
    for name in names:
        span = attribute_span(element, name)
        if span is not None:
            element = element[: span.start].rstrip() + element[span.stop :]
    return element


def with_attribute(element: bytes, name: str, value: str) -> bytes:
    """An element whose start tag has an attribute with a value.

    >>> with_attribute(b'<measure number="1" width="9"/>', "number", "12a")
    b'<measure number="12a" width="9"/>'
    >>> with_attribute(b"<part-group/>", "type", "start")
    b'<part-group type="start"/>'
    """
    new = attribute(name, value)
    span = attribute_span(element, name)
    if span is None:
        at = len(b"<") + len(tag_of(element))
        return element[:at] + new + element[at:]
    return element[: span.start] + new.lstrip() + element[span.stop :]
