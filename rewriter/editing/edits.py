"""Edits of a score, child by child of a bar, of what stands before the parts, or of a part.

An edit names a child by its index among the elements of its place, as ``Event.place`` does, so
several edits of one place are all told in what the score was. Within a changed bar the rest
stays byte for byte: only the named children differ, and new ones take line and indent from the
child they stand before.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Final

from rewriter.editing.cutting import inside_of
from rewriter.editing.edit_kinds import (
    Amended,
    Behind,
    Edit,
    InBar,
    InHeader,
    InPart,
    Inserted,
    OfBar,
    Refilled,
    Removed,
    Replaced,
    Where,
)
from rewriter.editing.filling import changes_in, filled, put_into
from rewriter.editing.places import header_of, inside_at, missing_place
from rewriter.editing.splicing import Change, spliced
from rewriter.musicxml.escaping import attribute
from rewriter.scores.children import children_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.editing.cutting import Inside
    from rewriter.scores.score import Score

__all__ = [
    "Amended", "Behind", "Edit", "InBar", "InHeader", "InPart", "Inserted", "OfBar", "Refilled",
    "Removed", "Replaced", "Where", "bar_children", "edited",
]  # fmt: skip

_ORDER: Final = (InHeader, Behind, InPart, OfBar, InBar)


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
    for where in sorted(by_place, key=_in_file_order):
        changes += _changes(score, where, by_place[where])
    return spliced(score, changes)


def _in_file_order(where: Where) -> tuple[int, Where]:
    return _ORDER.index(type(where)), where


def _refuse_both(score: Score, edits: Sequence[Edit], inner: set[str]) -> None:
    """A child of the header that is replaced cannot be edited inside as well."""
    tags = [child.tag.decode() for child in header_of(score).children]
    for edit in edits:
        if isinstance(edit, Refilled) or (
            not isinstance(edit, Inserted) and tags[edit.child] in inner
        ):
            raise ValueError(f"what is edited inside gives way as well: {edit}")


def _changes(score: Score, where: Where, edits: Sequence[Edit]) -> Iterator[Change]:
    text = score.text.data
    if not isinstance(where, InBar):
        yield from changes_in(inside_at(score, where), edits)
        return
    span = score.place(*where)
    if span is None:
        at = missing_place(score, where)
        opening = b"<part%b/>" % attribute("id", score.parts[where.part].id)
        made = b"".join(put_into(opening, edits))
        yield Change(at, at, made)
        return
    inside = inside_of(text, span.start)
    if _is_its_own_text(score, where, inside):
        yield from changes_in(inside, edits)
    else:  # its children come out of entities: they stand there in full from now on
        whole = b"".join(put_into(score.parts[where.part].bars[where.bar], edits))
        yield filled(inside, b"".join(children_of(whole)))


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
