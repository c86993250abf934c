"""Edits of one place as changes of its text: what is new stands in line with its neighbours."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from rewriter.editing.cutting import inside_of
from rewriter.editing.edit_kinds import Amended, Inserted, Refilled, Removed, Replaced
from rewriter.editing.splicing import Change

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.editing.cutting import Inside
    from rewriter.editing.edit_kinds import Edit


def put_into(element: bytes, edits: Sequence[Edit]) -> Iterator[bytes]:
    """An element, standing alone, with edits made in it, piece by piece."""
    at = 0
    for change in sorted(changes_in(inside_of(element, 0), edits), key=lambda one: one[:2]):
        yield element[at : change.start]
        yield change.data
        at = change.stop
    yield element[at:]


def changes_in(inside: Inside, edits: Sequence[Edit]) -> Iterator[Change]:
    """What edits of one place change."""
    refills = [edit for edit in edits if isinstance(edit, Refilled)]
    if refills:
        if len(edits) > 1:
            raise ValueError(f"a place is filled anew and edited as well: {refills[0].where}")
        yield filled(inside, refills[0].data)
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
        return filled(inside, b"".join(new), at_the_end=True)
    last = inside.children[-1]
    return Change(last.span.stop, last.span.stop, b"".join(last.space + data for data in new))


def filled(inside: Inside, data: bytes, *, at_the_end: bool = False) -> Change:
    """A place filled with something, in place of what is inside or behind it."""
    start, stop = inside.span
    if inside.empty:
        return Change(stop - len(b"/>"), stop, b">" + data + b"</%b>" % inside.empty)
    return Change(stop if at_the_end else start, stop, data)
