"""Beams after notes have gone: what is left of a group begins and ends properly."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import msgspec

from rewriter.sketch.model import Note

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.sketch.model import Sign

_GOING = frozenset(("begin", "continue"))
_COMING = frozenset(("continue", "end"))
_RUN = frozenset(("begin", "continue", "end"))
_UNDER_A_BEAM = frozenset(
    b"<type>%b</type>" % name
    for name in (b"eighth", b"16th", b"32nd", b"64th", b"128th", b"256th", b"512th", b"1024th")
)
"""Rests so short may stand in the middle of a group, with a beam of their own or without."""


class Open(msgspec.Struct, frozen=True):
    """Where beams of a bar may go on over its barlines.

    Attributes:
        before: True where a group of its first note may come from the bar before.
        after: True where a group of its last note may go on into the next bar.
    """

    before: bool = False
    after: bool = False


CLOSED: Final = Open()


def beamed_over(before: Sequence[Note], after: Sequence[Note]) -> bool:
    """True when a beam goes from one bar into the next, given the notes of both."""
    last = next((n for n in reversed(before) if _is_heard_of(n) and not n.shape.grace), None)
    first = next((n for n in after if _is_heard_of(n) and not n.shape.grace), None)
    if last is None or first is None:
        return False
    going = {level for level, value in last.shape.beams if value in _GOING}
    coming = {level for level, value in first.shape.beams if value in _COMING}
    return bool(going & coming)


def _is_heard_of(note: Note) -> bool:
    """False for a hair of time that nobody sees."""
    return note.shape.kind != "forward"


def rebeamed(items: Sequence[Note | Sign], ends: Open = CLOSED) -> list[Note | Sign]:
    """The items of a bar with every beam group closed; whole groups stay as they are.

    Grace notes and main notes are beamed apart. A note left alone in its group loses the beam
    at that level; hooks stay as long as their note is beamed at all.

    Args:
        items: of the bar.
        ends: where groups may go on over the barlines.
    """
    heard = [item for item in items if isinstance(item, Note) and _is_heard_of(item)]
    if not any(note.shape.beams for note in heard):
        return list(items)
    for grace in (False, True):
        notes = [note for note in heard if note.shape.grace == grace]
        for level in sorted({lev for note in notes for lev, _ in note.shape.beams}):
            _close_level(notes, level, CLOSED if grace else ends)
    return list(items)


def _close_level(notes: Sequence[Note], level: str, ends: Open) -> None:
    group: list[Note] = []
    for note in notes:
        value = _beam(note, level)
        if not value and _is_short_rest(note):
            continue
        if value not in _RUN or value == "begin":
            _close_group(notes, group, level, ends)
            group = []
        if value in _RUN:
            group.append(note)
        if value == "end":
            _close_group(notes, group, level, ends)
            group = []
    _close_group(notes, group, level, ends)


def _is_short_rest(note: Note) -> bool:
    return note.shape.kind == "rest" and any(
        tag == "type" and data in _UNDER_A_BEAM for tag, data in note.shape.children
    )


def _beam(note: Note, level: str) -> str:
    return dict(note.shape.beams).get(level, "") if note.shape.beams else ""


def _close_group(notes: Sequence[Note], group: Sequence[Note], level: str, ends: Open) -> None:
    comes = ends.before and group[:1] == notes[:1] and _beam(notes[0], level) in _COMING
    goes = ends.after and group[-1:] == notes[-1:] and _beam(notes[-1], level) in _GOING
    for place, note in enumerate(group):
        begins, stops = place == 0 and not comes, place == len(group) - 1 and not goes
        value = "begin" if begins else "end" if stops else "continue"
        if begins and stops:
            value = ""
        if _beam(note, level) == value:
            continue
        beams = [(lev, value if lev == level else old) for lev, old in note.shape.beams]
        beams = [(lev, new) for lev, new in beams if new]
        if not any(lev == "1" for lev, _ in beams):
            beams = []
        note.shape = note.shape.derived(beams=beams)
