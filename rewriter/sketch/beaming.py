"""Beams after notes have gone: what is left of a group begins and ends properly."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.sketch.model import Note

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.sketch.model import Sign

_RUN = frozenset(("begin", "continue", "end"))
_UNDER_A_BEAM = frozenset(
    b"<type>%b</type>" % name
    for name in (b"eighth", b"16th", b"32nd", b"64th", b"128th", b"256th", b"512th", b"1024th")
)
"""Rests so short may stand in the middle of a group, with a beam of their own or without."""


def rebeamed(items: Sequence[Note | Sign]) -> list[Note | Sign]:
    """The items of a bar with every beam group closed; whole groups stay as they are.

    Grace notes and main notes are beamed apart. A note left alone in its group loses the beam
    at that level; hooks stay as long as their note is beamed at all.
    """
    items = list(items)
    for grace in (False, True):
        beamed = [
            (place, item)
            for place, item in enumerate(items)
            if isinstance(item, Note) and item.shape.grace == grace
        ]
        for level in sorted({lev for _, n in beamed for lev, _ in n.shape.beams}):
            _close_level(items, [place for place, _ in beamed], level)
    return items


def _close_level(items: list[Note | Sign], places: list[int], level: str) -> None:
    group: list[int] = []
    for place in [*places, -1]:
        value = _beam(items[place], level) if place >= 0 else ""
        if not value and place >= 0 and _is_short_rest(items[place]):
            continue
        if value not in _RUN or value == "begin":
            _close_group(items, group, level)
            group = []
        if value in _RUN:
            group.append(place)
        if value == "end":
            _close_group(items, group, level)
            group = []


def _is_short_rest(item: Note | Sign) -> bool:
    if not isinstance(item, Note):
        return False
    return item.shape.kind == "forward" or (
        item.shape.kind == "rest"
        and any(tag == "type" and data in _UNDER_A_BEAM for tag, data in item.shape.children)
    )


def _beam(item: Note | Sign, level: str) -> str:
    return dict(item.shape.beams).get(level, "") if isinstance(item, Note) else ""


def _close_group(items: list[Note | Sign], group: list[int], level: str) -> None:
    for order, place in enumerate(group):
        value = "begin" if order == 0 else "end" if order == len(group) - 1 else "continue"
        if len(group) == 1:
            value = ""
        note = items[place]
        if not isinstance(note, Note) or dict(note.shape.beams).get(level) == value:
            continue
        beams = [(lev, value if lev == level else old) for lev, old in note.shape.beams]
        beams = [(lev, new) for lev, new in beams if new]
        if not any(lev == "1" for lev, _ in beams):
            beams = []
        note.shape = note.shape.derived(beams=beams)
