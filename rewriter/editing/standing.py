"""What is in force in a part, as the elements that say it, and what leads elsewhere."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING, Final
from weakref import WeakKeyDictionary

from rewriter.editing.elements import with_attribute
from rewriter.editing.music import tag_of
from rewriter.musicxml.note_reading import serialised
from rewriter.scores.attributes import changes_in
from rewriter.scores.children import attributes_of, children_of, element_of
from rewriter.scores.quarters import in_quarters
from rewriter.scores.staff_signs import USUAL_LINES, ClefSaid, KeySaid

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Iterator

    from rewriter.scores.score import Part

UNSAID: Final = {
    "divisions": b"<divisions>1</divisions>",
    "key": b"<key><fifths>0</fifths></key>",
    "time": b'<time print-object="no"><senza-misura/></time>',
    "staves": b"<staves>1</staves>",
    "clef": b"<clef><sign>G</sign><line>2</line></clef>",
    "staff-details": (
        b'<staff-details print-object="yes"><staff-lines>5</staff-lines></staff-details>'
    ),
    "transpose": b"<transpose><chromatic>0</chromatic></transpose>",
}
"""What counts where nothing is said, in the order of ``<attributes>``; common practice, no
source, but for the transposition, which is the standard's."""

_OF_ONE_STAFF: Final = frozenset(("clef", "staff-details"))
"""Without a number, the first staff's; all else is for every staff."""
_PASSES_TIME: Final = frozenset(("note", "backup", "forward"))


class Standing:
    """What is in force at a moment."""

    def __init__(self) -> None:
        """Begin with nothing said."""
        self._said: dict[str, dict[str, bytes]] = {tag: {} for tag in UNSAID}

    def take(self, attributes: Iterable[bytes]) -> Standing:
        """The same, gone on with some ``<attributes>``.

        Args:
            attributes: in time, as lxml writes them.
        """
        other = Standing()
        other._said = {tag: dict(said) for tag, said in self._said.items()}
        for one in attributes:
            for child in children_of(one):
                if tag_of(child) in UNSAID:
                    other._put(tag_of(child), child)
        return other

    def _put(self, tag: str, child: bytes) -> None:
        staff = attributes_of(child).get("number", "1" if tag in _OF_ONE_STAFF else "")
        if not staff:
            self._said[tag].clear()
        self._said[tag][staff] = child

    def leading_to(self, wanted: Standing) -> list[bytes]:
        """The children of an ``<attributes>`` that brings something else into force.

        Args:
            wanted: what is to be in force.

        Returns:
            In schema order; none of what means the same.
        """
        found = []
        for tag in UNSAID:
            mine, theirs = self._said[tag], wanted._said[tag]
            staves = {*mine, *theirs} - {""} or {"1"}
            differing = {
                one for one in staves if _meant(tag, mine, one) != _meant(tag, theirs, one)
            }
            if tag in _OF_ONE_STAFF:
                said = (_of_staff(tag, theirs, one) for one in sorted(differing))
                found += [one for one in said if one]
            elif differing:
                found += _whole(tag, theirs)
        return found


def _of_staff(tag: str, said: dict[str, bytes], staff: str) -> bytes:
    """What is said of a staff; without a clef only the first is there."""
    if staff in said or (staff != "1" and tag == "clef"):
        return said.get(staff, b"")
    return UNSAID[tag] if staff == "1" else with_attribute(UNSAID[tag], "number", staff)


def _whole(tag: str, said: dict[str, bytes]) -> Iterator[bytes]:
    """All that is said, what is for all staves first."""
    if "" not in said:
        yield UNSAID[tag]
    yield from (said[staff] for staff in sorted(said))


def _meant(tag: str, said: dict[str, bytes], staff: str) -> Hashable:
    element = said.get(staff, said.get("", UNSAID[tag]))
    if tag == "staff-details":
        return _details_of(element)
    values = [change.value for change in changes_in(b"<attributes>%b</attributes>" % element)]
    if not values:
        return element
    (value,) = values
    if isinstance(value, KeySaid):
        return tuple(sorted(value.alterations.items()))
    if isinstance(value, ClefSaid):
        usual = str(USUAL_LINES.get(value.sign, ""))
        return value._replace(line=value.line or usual)
    return value


def _details_of(element: bytes) -> Hashable:
    """How a staff looks: shown or not, its lines, and what else is said."""
    details = element_of(element)
    others = [serialised(child) for child in details if child.tag != "staff-lines"]
    lines = details.findtext("staff-lines") or "5"
    return details.get("print-object", "yes"), lines.strip(), tuple(others)


_KNOWN: Final[WeakKeyDictionary[Part, tuple[list[int], list[Standing]]]] = WeakKeyDictionary()
"""Parts are asked bar after bar; what they say is read once, for as long as they are there."""


def standing_before(part: Part, bar: int) -> Standing:
    """What is in force where a bar begins, before anything it says itself.

    Args:
        part: not changed.
        bar: index; the one after the last for the end.
    """
    bars, standings = _standings(part)
    return standings[bisect_left(bars, bar)]


def _standings(part: Part) -> tuple[list[int], list[Standing]]:
    """The bars that say something, and what is in force up to each of them and at the end."""
    if part not in _KNOWN:
        bars: list[int] = []
        standings = [Standing()]
        for at, read in in_quarters(part, set(part.having(b"<attributes"))).items():
            whole = [child for child in part.children(at) if tag_of(child)]
            here = [
                (read.onset(event), child)
                for event, child in zip(read.events, whole, strict=True)
                if event.tag == "attributes"
            ]
            in_time = [child for _, child in sorted(here, key=lambda one: one[0])]
            bars.append(at)
            standings.append(standings[-1].take(in_time))
        _KNOWN[part] = bars, standings
    return _KNOWN[part]


def said_at_start(children: Iterable[bytes]) -> Iterator[bytes]:
    """The ``<attributes>`` a bar begins with.

    Args:
        children: of a bar.
    """
    for child in children:
        if tag_of(child) in _PASSES_TIME:
            return
        if tag_of(child) == "attributes":
            yield child
