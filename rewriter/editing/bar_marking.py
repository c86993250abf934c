"""Signs put into a bar at their moments, and children of it changed; its notes stay.

What takes no time (a direction, a clef, a chord symbol) is put where the bar's own elements
come to its moment, before the note of its staff that begins there if one does; where none
comes to it, moves lead there and back.
"""

from __future__ import annotations

from math import lcm
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.editing.bar_reading import MOVES, before_barline, reached_before, written_bar
from rewriter.editing.cutting import attribute_in
from rewriter.editing.edits import Edit, InBar, Inserted, Removed, Replaced
from rewriter.editing.elements import found_in, text_in
from rewriter.editing.moves import Move, move_bytes
from rewriter.editing.music import tag_of
from rewriter.editing.rescaling import all_recounted, finer, restored

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from fractions import Fraction

    from rewriter.editing.bar_reading import Timed, WrittenBar
    from rewriter.editing.music import Sign
    from rewriter.scores.score import Score

_OPENING: Final = frozenset(("print", "attributes", "barline"))


class _Placed(NamedTuple):
    """A sign at its place.

    Attributes:
        child: it stands before.
        sign: the element.
        by: quarters from where the bar is there to the sign's moment.
        divisions: in force there.
    """

    child: int
    sign: bytes
    by: Fraction
    divisions: Fraction


def bar_marked(
    score: Score,
    where: InBar,
    signs: Sequence[Sign] = (),
    children: Mapping[int, bytes] | None = None,
) -> list[Edit]:
    """Edits that put signs into a bar and change some of its children.

    All that is to change in a bar is told at once: where a moment can only be counted in finer
    divisions, every number in the bar changes with them, and the old ones are restored at its
    end.

    Args:
        score: not changed.
        where: the bar.
        signs: what is put in; those of one moment stand in the order given. The staff is what
            their ``<staff>`` or their clef's number says.
        children: changed children by index (as ``Event.place`` counts), as they stand in the
            file; nothing for those that go. ``note_marks`` and ``elements`` make them.

    Raises:
        ValueError: a sign's moment is outside the bar.

    Example: an accent on the first note, and *f* on the second beat::

        own = bar_children(score, where)
        bar_marked(
            score, where,
            [Sign(Fraction(1), dynamic_direction(b"<dynamics><f/></dynamics>"))],
            {1: with_notation(own[1], b"<accent/>")},
        )
    """
    return marked(written_bar(score, where), signs, children or {})


def marked(bar: WrittenBar, signs: Sequence[Sign], changed: Mapping[int, bytes]) -> list[Edit]:
    """The same for a bar that has been read.

    Args:
        bar: not changed.
        signs: what is put in.
        changed: changed children by index.

    Raises:
        ValueError: a sign's moment is outside the bar.
    """
    where = bar.where
    placed = [_placed(bar, sign) for sign in signs]
    times = lcm(*((abs(one.by) * one.divisions).denominator for one in placed))
    edits: list[Edit] = []
    if times > 1:
        edits += finer(bar, set(range(len(bar.children))) - changed.keys(), times)
    for child, data in sorted(changed.items()):
        new = Replaced(where, child, all_recounted(data, times))
        edits.append(new if data else Removed(where, child))
    for one in placed:
        edits += [Inserted(where, one.child, data) for data in _bytes_of(one, times)]
    if times > 1:
        edits.append(restored(bar))
    return edits


def _bytes_of(one: _Placed, times: int) -> Iterator[bytes]:
    divisions = one.divisions * times
    if one.by:
        yield move_bytes(Move(one.by), divisions)
    yield all_recounted(one.sign, times)
    if one.by:
        yield move_bytes(Move(-one.by), divisions)


def _placed(bar: WrittenBar, sign: Sign) -> _Placed:
    reached = reached_before(bar)
    if not 0 <= sign.onset <= max(reached):
        raise ValueError(f"a sign at {sign.onset}, where a bar goes from 0 to {max(reached)}")
    staff = _staff_of(sign.data)
    places = [
        place
        for place in range(_opening_end(bar), before_barline(bar) + 1)
        if not _within_chord(bar, place)
    ]
    child = min(
        places, key=lambda place: _distance(bar, place, reached[place], sign.onset, staff)
    )
    divisions = bar.children[child - 1].divisions if child else bar.divisions
    return _Placed(child, sign.data, sign.onset - reached[child], divisions)


def _distance(
    bar: WrittenBar, place: int, reached: Fraction, onset: Fraction, staff: str
) -> tuple[bool, bool, bool, int]:
    """How far from the right place a place is: first the smallest of these."""
    behind = bar.children[place] if place < len(bar.children) else None
    before = bar.children[place - 1] if place else None
    begins = reached == onset and _is_note_of(behind, staff)
    sounds = (
        before is not None and _is_note_of(before, staff) and before.onset < onset <= reached
    )
    return not begins, reached != onset, not sounds, place


def _is_note_of(child: Timed | None, staff: str) -> bool:
    return child is not None and child.form is not None and staff in {"", child.form.staff}


def _within_chord(bar: WrittenBar, place: int) -> bool:
    """True where the next that takes time is a note that sounds with the one before it."""
    for child in bar.children[place:]:
        if child.form is not None or child.tag in MOVES:
            return child.form is not None and child.form.chord
    return False


def _opening_end(bar: WrittenBar) -> int:
    """The first child behind all that a bar begins with."""
    for place, child in enumerate(bar.children):
        if child.tag not in _OPENING:
            return place
    return before_barline(bar)


def _staff_of(sign: bytes) -> str:
    """The staff a sign is for; empty where it does not say."""
    if tag_of(sign) != "attributes":
        return text_in(sign, "staff")
    clefs = found_in(sign, "clef")
    return (attribute_in(clefs[0], "number") or "1") if clefs else ""
