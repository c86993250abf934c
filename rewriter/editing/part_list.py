"""The part list as a list: its entries and the ends of its groups, moved, put in, taken out.

Nothing is written here: :func:`rewriter.editing.arranging.arranged` makes the edits that lead
from the list a score has to the one that is wanted.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.editing.cutting import attribute_in
from rewriter.editing.edit_kinds import InHeader
from rewriter.editing.elements import with_attribute
from rewriter.editing.music import tag_of
from rewriter.editing.places import inside_at
from rewriter.musicxml.escaping import attribute
from rewriter.musicxml.note_reading import serialised

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.scores.score import Score

PART_LIST = InHeader("part-list")


class Listed(NamedTuple):
    """A child of the part list: a part's entry, or an end of a group.

    Attributes:
        data: as it is to stand; as it stands in the file where it is not changed.
        child: its index in the list of the file; None for a new one.
    """

    data: bytes
    child: int | None = None

    @property
    def part(self) -> str:
        """The id of the part it is the entry of; empty for the end of a group."""
        return attribute_in(self.data, "id") if tag_of(self.data) == "score-part" else ""

    @property
    def group(self) -> tuple[str, str]:
        """Number and end (``start`` or ``stop``) of a group; empty for what is none."""
        if tag_of(self.data) != "part-group":
            return "", ""
        return attribute_in(self.data, "number") or "1", attribute_in(self.data, "type")


def part_list(score: Score) -> list[Listed]:
    """The part list as it is.

    Args:
        score: not changed.

    Raises:
        ValueError: the file's text has no ``<part-list>``; it comes out of an entity.
    """
    text = score.text.data
    if comes_out_of_entities(score):
        elements = score.header.iterfind("part-list/*")
        return [Listed(serialised(child), index) for index, child in enumerate(elements)]
    return [
        Listed(text[child.span.start : child.span.stop], index)
        for index, child in enumerate(inside_at(score, PART_LIST).children)
    ]


def comes_out_of_entities(score: Score) -> bool:
    """True for a list whose entries do not all stand in the file where they are read."""
    read = [str(child.tag) for child in score.header.iterfind("part-list/*")]
    return read != [child.tag.decode() for child in inside_at(score, PART_LIST).children]


def entry_of(listed: Sequence[Listed], part: str) -> Listed:
    """The entry of a part.

    Args:
        listed: a part list.
        part: id.

    Raises:
        ValueError: there is none.
    """
    for one in listed:
        if one.part == part:
            return one
    raise ValueError(f"the part list has no entry for {part}")


def changed(listed: Sequence[Listed], part: str, data: bytes) -> list[Listed]:
    """A part list in which an entry reads otherwise.

    Args:
        listed: a part list.
        part: id.
        data: ``<score-part>``, such as ``part_entries`` makes.
    """
    entry = entry_of(listed, part)
    return [one._replace(data=data) if one is entry else one for one in listed]


def put_in(listed: Sequence[Listed], new: Listed, before: Listed | None) -> list[Listed]:
    """A part list with an entry more.

    Args:
        listed: a part list.
        new: an entry.
        before: which it stands before, so that it is in the group this one is in; the end of
            a group for its last place; None for the end of the list.
    """
    at = len(listed) if before is None else listed.index(before)
    return [*listed[:at], new, *listed[at:]]


def taken_out(listed: Sequence[Listed], part: str) -> list[Listed]:
    """A part list without a part, and without the groups that held nothing else.

    Args:
        listed: a part list.
        part: id.
    """
    entry = entry_of(listed, part)
    return _without_empty_groups([one for one in listed if one is not entry])


def moved(listed: Sequence[Listed], part: str, before: Listed | None) -> list[Listed]:
    """A part list with a part elsewhere; groups left without any part go.

    Args:
        listed: a part list.
        part: id.
        before: as in :func:`put_in`.
    """
    entry = entry_of(listed, part)
    if before is entry:
        return list(listed)
    others = [one for one in listed if one is not entry]
    return _without_empty_groups(put_in(others, entry, before))


def grouped(listed: Sequence[Listed], first: str, last: str, group: bytes) -> list[Listed]:
    """A part list in which parts that follow each other are a group.

    It is put inside the groups that hold both, so that groups nest.

    Args:
        listed: a part list.
        first: id of its first part.
        last: id of its last.
        group: ``<part-group>``; its number and type are given here.

    Raises:
        ValueError: a group begins or ends between them that holds only some of them.
    """
    start, stop = (listed.index(entry_of(listed, part)) for part in (first, last))
    between = listed[start : stop + 1]
    if not between or group_faults(between):
        raise ValueError(f"{first} to {last} cannot be one group")
    numbers = {one.group[0] for one in listed}
    number = next(str(n) for n in range(1, len(listed) + 2) if str(n) not in numbers)
    opening = with_attribute(with_attribute(group, "number", number), "type", "start")
    closing = b"<part-group%b%b/>" % (attribute("number", number), attribute("type", "stop"))
    return [
        *listed[:start], Listed(opening), *between, Listed(closing), *listed[stop + 1 :],
    ]  # fmt: skip


def ungrouped(listed: Sequence[Listed], start: Listed) -> list[Listed]:
    """A part list without a group; its parts stay.

    Args:
        listed: a part list.
        start: where the group begins.
    """
    at = listed.index(start)
    stop = _stop_of(listed, at)
    return [one for place, one in enumerate(listed) if place not in {at, stop}]


def group_faults(listed: Sequence[Listed]) -> list[str]:
    """Groups that begin twice, or do not begin, or do not end; by number."""
    opened: list[str] = []
    faults = []
    for one in listed:
        number, end = one.group
        if end == "start":
            faults += [number] if number in opened else []
            opened.append(number)
        elif end == "stop" and number in opened:
            opened.remove(number)
        elif end == "stop":
            faults.append(number)
    return sorted(faults + opened)


def _stop_of(listed: Sequence[Listed], start: int) -> int | None:
    number = listed[start].group[0]
    for place in range(start + 1, len(listed)):
        if listed[place].group == (number, "stop"):
            return place
    return None


def _without_empty_groups(listed: Sequence[Listed]) -> list[Listed]:
    """Groups between whose ends no part stands any more go, ends and all."""
    gone: set[int] = set()
    for place, one in enumerate(listed):
        if one.group[1] != "start":
            continue
        stop = _stop_of(listed, place)
        if stop is not None and not any(one.part for one in listed[place:stop]):
            gone |= {place, stop}
    return [one for place, one in enumerate(listed) if place not in gone]
