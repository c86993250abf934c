"""What is in force in a part, as the elements that say it, and what leads elsewhere."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.editing.music import tag_of
from rewriter.scores.attributes import changes_in
from rewriter.scores.children import attributes_of, children_of
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
    "transpose": b"<transpose><chromatic>0</chromatic></transpose>",
}
"""What counts where nothing is said, in the order of ``<attributes>``; common practice, no
source, but for the transposition, which is the standard's."""

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
        staff = attributes_of(child).get("number", "1" if tag == "clef" else "")
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
            if tag == "clef":
                found += [
                    theirs.get(one, UNSAID[tag])
                    for one in sorted(differing)
                    if _is_there(theirs, one)
                ]
            elif differing:
                found += _whole(tag, theirs)
        return found


def _is_there(clefs: dict[str, bytes], staff: str) -> bool:
    """True for a staff that shows something: without a clef only the first does."""
    return staff in clefs or staff == "1"


def _whole(tag: str, said: dict[str, bytes]) -> Iterator[bytes]:
    """All that is said, what is for all staves first."""
    if "" not in said:
        yield UNSAID[tag]
    yield from (said[staff] for staff in sorted(said))


def _meant(tag: str, said: dict[str, bytes], staff: str) -> Hashable:
    element = said.get(staff, said.get("", UNSAID[tag]))
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


def standing_before(part: Part, bar: int) -> Standing:
    """What is in force where a bar begins, before anything it says itself.

    Args:
        part: not changed.
        bar: index; the one after the last for the end.
    """
    saying = {at for at in part.having(b"<attributes") if at < bar}
    found = []
    for at, read in in_quarters(part, saying).items():
        whole = [child for child in part.children(at) if tag_of(child)]
        here = [
            (read.onset(event), child)
            for event, child in zip(read.events, whole, strict=True)
            if event.tag == "attributes"
        ]
        found += [child for _, child in sorted(here, key=lambda one: one[0])]
    return Standing().take(found)


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
