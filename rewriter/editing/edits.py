"""Edits of a score, child by child of a bar or of what stands before the parts.

An edit names a child by its index among the elements of its place, as ``Event.place`` does, so
several edits of one place are all told in what the score was. Within a changed bar the rest
stays byte for byte: only the named children differ, and new ones take line and indent from the
child they stand before.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.editing.cutting import Inside, inside_of
from rewriter.editing.splicing import Change, spliced
from rewriter.musicxml.escaping import attribute
from rewriter.scores.children import children_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.scores.score import Score


class InBar(NamedTuple):
    """The inside of a bar.

    Attributes:
        part: index in score order.
        bar: index from the start of the score.
    """

    part: int
    bar: int


class InHeader(NamedTuple):
    """What stands before the parts: ``<work>``, ``<identification>``, ``<part-list>`` ...

    Attributes:
        of: name of one of these for what is inside it; empty for all of them.
    """

    of: str = ""


Where = InBar | InHeader


class Replaced(NamedTuple):
    """A child gives way to another element."""

    where: Where
    child: int
    data: bytes


class Inserted(NamedTuple):
    """An element is put before a child; before the one after the last: at the end."""

    where: Where
    child: int
    data: bytes


class Removed(NamedTuple):
    """A child goes, and the white space before it."""

    where: Where
    child: int


class Amended(NamedTuple):
    """A piece of a child changes.

    Attributes:
        where: its place.
        child: which.
        start: of the piece, in bytes of what :func:`bar_children` gives.
        stop: likewise; the same for what is put between.
        data: what stands there instead.
    """

    where: Where
    child: int
    start: int
    stop: int
    data: bytes


class Refilled(NamedTuple):
    """All that is inside gives way, comments too; the start tag stays.

    Attributes:
        where: a bar, mostly.
        data: its new children.
    """

    where: Where
    data: bytes


Edit = Replaced | Inserted | Removed | Amended | Refilled

_PARTS: Final = frozenset((b"part", b"measure"))


def edited(score: Score, edits: Iterable[Edit]) -> bytes:
    """The file of a score with edits made, every other byte as it is.

    Args:
        score: not changed.
        edits: in any order; what is inserted before one child stands in the order given.

    Raises:
        ValueError: two edits are about one child, or there is no such child.
    """
    by_place: dict[Where, list[Edit]] = defaultdict(list)
    for edit in edits:
        by_place[edit.where].append(edit)
    inner = {where.of for where in by_place if isinstance(where, InHeader) and where.of}
    if inner and InHeader() in by_place:
        _refuse_both(score, by_place[InHeader()], inner)
    changes: list[Change] = []
    for where in sorted(by_place, key=lambda where: (isinstance(where, InBar), where)):
        changes += _changes(score, where, by_place[where])
    return spliced(score, changes)


def _refuse_both(score: Score, edits: Sequence[Edit], inner: set[str]) -> None:
    """A child of the header that is replaced cannot be edited inside as well."""
    tags = [child.tag.decode() for child in _header(score).children]
    for edit in edits:
        if isinstance(edit, Refilled) or (
            not isinstance(edit, Inserted) and tags[edit.child] in inner
        ):
            raise ValueError(f"what is edited inside gives way as well: {edit}")


def _changes(score: Score, where: Where, edits: Sequence[Edit]) -> Iterator[Change]:
    text = score.text.data
    if isinstance(where, InHeader):
        found = _header(score)
        if where.of:
            found = _inside_header(text, found, where.of)
        yield from _in_text(found, edits)
        return
    span = score.place(*where)
    if span is None:
        at = _missing_place(score, where)
        opening = b"<part%b/>" % attribute("id", score.parts[where.part].id)
        made = b"".join(_put_into(opening, edits))
        yield Change(at, at, made)
        return
    inside = inside_of(text, span.start)
    if _is_its_own_text(score, where, inside):
        yield from _in_text(inside, edits)
    else:  # its children come out of entities: they stand there in full from now on
        whole = b"".join(_put_into(score.parts[where.part].bars[where.bar], edits))
        yield _filled(inside, b"".join(children_of(whole)))


def _is_its_own_text(score: Score, where: InBar, inside: Inside) -> bool:
    return _tags(inside) == _tags(inside_of(score.parts[where.part].bars[where.bar], 0))


def bar_children(score: Score, where: InBar) -> list[bytes]:
    """The elements of a bar in the bytes that edits are made in, white space and all.

    Args:
        score: not changed.
        where: a bar; without children where a time-wise score leaves the part out.
    """
    span = score.place(*where)
    if span is None:
        return []
    text = score.text.data
    inside = inside_of(text, span.start)
    if not _is_its_own_text(score, where, inside):
        text = score.parts[where.part].bars[where.bar]
        inside = inside_of(text, 0)
    return [text[child.span.start : child.span.stop] for child in inside.children]


def _tags(inside: Inside) -> list[bytes]:
    return [child.tag for child in inside.children]


def _put_into(element: bytes, edits: Sequence[Edit]) -> Iterator[bytes]:
    """An element, standing alone, with edits made in it, piece by piece."""
    at = 0
    for change in sorted(_in_text(inside_of(element, 0), edits), key=lambda one: one[:2]):
        yield element[at : change.start]
        yield change.data
        at = change.stop
    yield element[at:]


def _header(score: Score) -> Inside:
    return inside_of(score.text.data, 0, until=_PARTS)


def _inside_header(text: bytes, header: Inside, tag: str) -> Inside:
    for child in header.children:
        if child.tag.decode() == tag:
            return inside_of(text, child.span.start)
    raise ValueError(f"the score has no <{tag}> before its parts")


def _missing_place(score: Score, where: InBar) -> int:
    """Where a part that a time-wise bar leaves out would stand in it."""
    for part in range(where.part - 1, -1, -1):
        if span := score.place(part, where.bar):
            return span.stop
    for part in range(where.part + 1, len(score.parts)):
        if span := score.place(part, where.bar):
            return span.start
    raise ValueError(f"bar {where.bar} holds no part")


def _in_text(inside: Inside, edits: Sequence[Edit]) -> Iterator[Change]:
    """What edits of one place change."""
    refills = [edit for edit in edits if isinstance(edit, Refilled)]
    if refills:
        if len(edits) > 1:
            raise ValueError(f"a place is filled anew and edited as well: {refills[0].where}")
        yield _filled(inside, refills[0].data)
        return
    inserted: dict[int, list[bytes]] = defaultdict(list)
    given: dict[int, Replaced | Removed] = {}
    for edit in edits:
        _require_child(inside, edit)
        if isinstance(edit, Inserted):
            inserted[edit.child].append(edit.data)
        elif isinstance(edit, Amended):
            start = inside.children[edit.child].span.start
            yield Change(start + edit.start, start + edit.stop, edit.data)
        elif isinstance(edit, (Replaced, Removed)):
            if edit.child in given:
                raise ValueError(f"two edits of one child: {given[edit.child]} and {edit}")
            given[edit.child] = edit
    for child in sorted(inserted.keys() | given.keys()):
        yield from _at_child(inside, child, inserted.get(child, []), given.get(child))


def _require_child(inside: Inside, edit: Edit) -> None:
    if isinstance(edit, Refilled):
        return
    last = len(inside.children) - (not isinstance(edit, Inserted))
    if not 0 <= edit.child <= last:
        raise ValueError(f"there is no such child: {edit}")


def _at_child(
    inside: Inside, index: int, new: list[bytes], edit: Replaced | Removed | None
) -> Iterator[Change]:
    if index == len(inside.children):
        yield _at_the_end(inside, new)
        return
    (start, stop), _, space = inside.children[index]
    if isinstance(edit, Removed):
        if new:
            yield Change(start, stop, space.join(new))
        else:
            yield Change(start - len(space), stop, b"")
        return
    if new:
        yield Change(start, start, b"".join(data + space for data in new))
    if edit is not None:
        yield Change(start, stop, edit.data)


def _at_the_end(inside: Inside, new: list[bytes]) -> Change:
    if not inside.children:
        return _filled(inside, b"".join(new), at_the_end=True)
    last = inside.children[-1]
    return Change(last.span.stop, last.span.stop, b"".join(last.space + data for data in new))


def _filled(inside: Inside, data: bytes, *, at_the_end: bool = False) -> Change:
    start, stop = inside.span
    if inside.empty:
        return Change(stop - len(b"/>"), stop, b">" + data + b"</%b>" % inside.empty)
    return Change(stop if at_the_end else start, stop, data)
