"""Bars that have been read once, for all that say the same: in a part, a score, or several."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final, NamedTuple

from rewriter.comparing.things import Bar, Note, Point, Thing

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from rewriter.comparing.spans import End

_POINT: Final = partial(tuple.__new__, Point)
_THING: Final = partial(tuple.__new__, Thing)
_NOTE: Final = partial(tuple.__new__, Note)
"""Of what there are thousands: half the time of calling the types."""


class KnownBar(NamedTuple):
    """A bar that has been read.

    Attributes:
        place: index of where it stands.
        bar: what is in it; of what spans nothing.
        ends: of what spans.
    """

    place: int
    bar: Bar
    ends: Sequence[End]

    def at(self, index: int) -> KnownBar:
        """The same bar where it stands elsewhere; its things are in a list of its own.

        Args:
            index: of the bar.
        """
        bar = self.bar
        if index == self.place:
            return self._replace(bar=bar._replace(things=bar.things[:]))
        notes = [_note_at(note, index) for note in bar.notes]
        things = [_thing_at(thing, index) for thing in bar.things]
        ends = [end._replace(thing=_thing_at(end.thing, index)) for end in self.ends]
        return KnownBar(index, bar._replace(notes=notes, things=things), ends)


def _note_at(note: Note, index: int) -> Note:
    thing, pitch, length, says = note
    found: Note = _NOTE((_thing_at(thing, index), pitch, length, says))
    return found


def _thing_at(thing: Thing, index: int) -> Thing:
    kind, what, (_, onset, grace), voice, staff, until, place = thing
    at = _POINT((index, onset, grace))
    found: Thing = _THING((kind, what, at, voice, staff, until, place))
    return found


class KnownBars:
    """Bars by what they say and by what is in force in them.

    They are counted in the same divisions, with or without breaks.
    """

    def __init__(self) -> None:
        self._known: dict[Hashable, dict[bytes, KnownBar]] = {}

    def in_force(self, state: Hashable) -> dict[bytes, KnownBar]:
        """Bars in which the same is in force, by what stands between their tags.

        Args:
            state: all that is in force.
        """
        return self._known.setdefault(state, {})
