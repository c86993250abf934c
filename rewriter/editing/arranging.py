"""A score's parts as its part list is to have them: entries, and the parts themselves."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from typing import TYPE_CHECKING

from rewriter.editing.cutting import inner_of, space_before
from rewriter.editing.edit_kinds import (
    Behind,
    InPart,
    Inserted,
    OfBar,
    Refilled,
    Removed,
    Replaced,
)
from rewriter.editing.part_list import (
    PART_LIST,
    Listed,
    comes_out_of_entities,
    group_faults,
    part_list,
)
from rewriter.editing.places import by_bars, inside_at
from rewriter.musicxml.escaping import attribute
from rewriter.scores.text import id_in

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rewriter.editing.edit_kinds import Edit, Where
    from rewriter.scores.score import Score


def arranged(
    score: Score, wanted: Sequence[Listed], music: Mapping[str, Sequence[bytes]] | None = None
) -> list[Edit]:
    """Edits that lead to another part list, and put the parts in its order.

    As few entries and parts as can be are moved. Parts without an entry stay behind the part
    they stand behind.

    Args:
        score: not changed.
        wanted: the list, made of the one the score has (:func:`part_list`).
        music: the bars of each new part by its id, ``<measure>`` in UTF-8 each; as many as the
            score has.

    Raises:
        ValueError: a part is listed twice, or has no music; a group begins or ends alone that
            did not before.

    Example: the violas above the second violins, and named in full::

        listed = part_list(score)
        listed = moved(listed, "P3", before=entry_of(listed, "P2"))
        listed = changed(listed, "P3", renamed(entry_of(listed, "P3").data, "Violas", "Vas."))
        edited(score, arranged(score, listed))
    """
    new = music or {}
    was = part_list(score)
    _require_sane(score, was, wanted, new)
    if not comes_out_of_entities(score):
        edits = _reordered(PART_LIST, [one.data for one in was], wanted)
    else:  # then it stands there in full from now on
        edits = [Refilled(PART_LIST, b"".join(one.data for one in wanted))]
    order = _order_of_parts(score, was, wanted)
    if by_bars(score):
        for bar in range(len(score.outline)):
            edits += _parts_of_bar(score, bar, order, new)
    else:
        edits += _parts(score, order, new)
    return edits


def _require_sane(
    score: Score,
    was: Sequence[Listed],
    wanted: Sequence[Listed],
    music: Mapping[str, Sequence[bytes]],
) -> None:
    twice = [one for one, times in Counter(one.part for one in wanted).items() if times > 1]
    if any(twice):
        raise ValueError(f"listed twice: {twice}")
    if Counter(group_faults(wanted)) - Counter(group_faults(was)):
        raise ValueError(f"groups that do not close: {group_faults(wanted)}")
    known = {part.id for part in score.parts} | {one.part for one in was}
    length = max(len(part.bars) for part in score.parts)
    for one in wanted:
        if one.part and one.part not in known | music.keys():
            raise ValueError(f"{one.part} has no music")
        if one.part in music and len(music[one.part]) != length:
            raise ValueError(f"{one.part} has {len(music[one.part])} bars, the score {length}")


def _order_of_parts(score: Score, was: Sequence[Listed], wanted: Sequence[Listed]) -> list[str]:
    """The ids of the parts in the order they are to have."""
    now = [part.id for part in score.parts]
    before = [one.part for one in was if one.part]
    after = [one.part for one in wanted if one.part]
    gone = set(before) - set(after)
    kept = [part for part in after if part in before]
    if kept == [part for part in before if part not in gone]:  # as the file has them
        order = [part for part in now if part not in gone]
        added = [part for part in after if part not in before]
        pairs = zip(["", *after], after, strict=False)
        following = {part: previous for previous, part in pairs if part in added}
    else:
        order = [part for part in after if part in now or part not in before]
        pairs = zip(["", *now], now, strict=False)
        following = {part: previous for previous, part in pairs if part not in before}
    for part, previous in following.items():
        order.insert(order.index(previous) + 1 if previous in order else 0, part)
    return order


def _parts(
    score: Score, order: Sequence[str], music: Mapping[str, Sequence[bytes]]
) -> list[Edit]:
    text = score.text.data
    ids = [id_in(outer.opening) for outer in score.outline]
    own = [text[outer.span.start : outer.span.stop] for outer in score.outline]
    made = [
        Listed(own[ids.index(part)], ids.index(part))
        if part in ids
        else Listed(_part(score, part, music[part]))
        for part in order
    ]
    return _reordered(Behind(), own, made)


def _part(score: Score, part: str, bars: Sequence[bytes]) -> bytes:
    """A part with line and indent of the first."""
    beside = inside_at(score, InPart(0))
    space = beside.children[0].space if beside.children else b""
    end = space_before(score.text.data, beside.span.stop, beside.span.start)
    music = b"".join(space + bar for bar in bars)
    return b"<part%b>%b%b</part>" % (attribute("id", part), music, end)


def _parts_of_bar(
    score: Score, bar: int, order: Sequence[str], music: Mapping[str, Sequence[bytes]]
) -> list[Edit]:
    text = score.text.data
    inner = score.outline[bar].inner
    ids = [id_in(opening) for opening, _ in inner]
    own = [text[span.start : span.stop] for _, span in inner]
    made = []
    for part in order:
        if part in ids:
            made.append(Listed(own[ids.index(part)], ids.index(part)))
        elif part in music:
            data = inner_of(music[part][bar])
            made.append(Listed(b"<part%b>%b</part>" % (attribute("id", part), data)))
    return _reordered(OfBar(bar), own, made)


def _reordered(where: Where, own: Sequence[bytes], wanted: Sequence[Listed]) -> list[Edit]:
    """Edits that lead from the children of a place to others, most of them where they are."""
    staying = _longest_rising([one.child for one in wanted if one.child is not None])
    edits: list[Edit] = [
        Removed(where, child) for child in range(len(own)) if child not in staying
    ]
    before = len(own)
    moved: list[Edit] = []
    for one in reversed(wanted):
        if one.child is None or one.child not in staying:
            moved.append(Inserted(where, before, one.data))
            continue
        before = one.child
        if one.data != own[one.child]:
            edits.append(Replaced(where, one.child, one.data))
    return edits + moved[::-1]


def _longest_rising(numbers: Sequence[int]) -> set[int]:
    """As many of them as can be that follow each other in rising order.

    >>> sorted(_longest_rising([3, 0, 1, 2]))
    [0, 1, 2]
    """
    ends: list[int] = []
    before: dict[int, int | None] = {}
    for number in numbers:
        at = bisect_left(ends, number)
        before[number] = ends[at - 1] if at else None
        ends[at:] = [number, *ends[at + 1 :]]
    found: set[int] = set()
    last = ends[-1] if ends else None
    while last is not None:
        found.add(last)
        last = before[last]
    return found
