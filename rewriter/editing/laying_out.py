"""In which order the new and the old of a bar stand, and how to get from one to the next."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.editing.bar_reading import MOVES, Timed, WrittenBar, before_barline
from rewriter.editing.moves import Going, Move
from rewriter.editing.music import Note, Sign

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from fractions import Fraction


class Plan(NamedTuple):
    """What becomes of a bar.

    Attributes:
        gone: children that go.
        again: notes that take the place of children.
        before: what is put before children, each with its voice.
    """

    gone: set[int]
    again: Mapping[int, Note]
    before: Mapping[int, Sequence[tuple[str, Note | Sign]]]


class New(NamedTuple):
    """An element to be written.

    Attributes:
        child: it stands before, or in place of.
        item: note, sign, or move.
        voice: of a note.
        divisions: in force there, as the file has them now.
        replaces: True where it takes the place of the child.
        order: among all that is written.
    """

    child: int
    item: Note | Sign | Move
    voice: str
    divisions: Fraction
    replaces: bool = False
    order: int = 0

    @property
    def place(self) -> tuple[int, int]:
        """Its place in document order, before the child itself."""
        return self.child, self.order


def dealt_out(
    bar: WrittenBar, gone: set[int], items: Sequence[Note | Sign]
) -> Iterator[tuple[int, Note | Sign]]:
    """New music where the old stood, what comes before a sign that stays before it.

    Args:
        bar: not changed.
        gone: indexes of the old music; a voice that had none ends up last.
        items: new, in time.

    Yields:
        The child that something is put before, and what.
    """
    left = list(items)
    last = before_barline(bar)
    if gone:
        first = min(gone)
        last = max(gone & set(range(first, _other_note(bar, gone, first))))
        for place in range(first, last):
            child = bar.children[place]
            if place in gone or child.tag in MOVES:
                continue
            while left and (left[0].onset < child.onset or _is_chord(left[0])):
                yield place, left.pop(0)
    yield from ((last, item) for item in left)


def _other_note(bar: WrittenBar, gone: set[int], first: int) -> int:
    """Where the next note stands that is none of these."""
    for place in range(first, len(bar.children)):
        if bar.children[place].form is not None and place not in gone:
            return place
    return len(bar.children)


def _is_chord(item: Note | Sign) -> bool:
    return isinstance(item, Note) and item.chord


def laid_out(bar: WrittenBar, plan: Plan) -> tuple[list[New], set[int]]:
    """All that is to be written, in its order, and the indexes of the moves that go.

    Args:
        bar: not changed.
        plan: what becomes of it.
    """
    going = Going(anew=bool(plan.again))
    new: list[New] = []
    divisions = bar.divisions
    for place, child in enumerate(bar.children):
        new += _put_there(plan, going, place, divisions)
        divisions = child.divisions
        if place in plan.gone:
            continue
        if child.tag in MOVES:
            going.meet(place, child)
            continue
        if child.form is None or not child.form.chord:
            new += _moves(going, child.onset, place, divisions)
        if place in plan.again:
            note, voice = plan.again[place], _voice_said(child)
            new.append(New(place, note, voice, divisions, replaces=True))
        going.at += child.length if child.takes_time else 0
    last = len(bar.children)
    new += _put_there(plan, going, last, divisions)
    new += [New(last, move, "", divisions) for move in going.to_the_end(bar.end)]
    return [one._replace(order=order) for order, one in enumerate(new)], going.dropped


def _put_there(plan: Plan, going: Going, place: int, divisions: Fraction) -> Iterator[New]:
    """The new music before a child, and the moves to it."""
    for voice, item in plan.before.get(place, ()):
        if not _is_chord(item):
            yield from _moves(going, item.onset, place, divisions)
            going.at += item.length if isinstance(item, Note) else 0
        yield New(place, item, voice, divisions)


def _moves(going: Going, to: Fraction, place: int, divisions: Fraction) -> Iterator[New]:
    for move in going.to(to):
        yield New(place, move, "", divisions)


def _voice_said(child: Timed) -> str:
    form = child.form
    return form.voice if form is not None and "voice" in form.tags else ""
