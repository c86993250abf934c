"""The short score kept under the strings, untouched but for the ids of its parts."""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Final

from rewriter.musicxml.heading import KEPT_SKETCH
from rewriter.musicxml.note_reading import serialised
from rewriter.notating.score import SketchBelow

if TYPE_CHECKING:
    from rewriter.scores.score import Score

_NAMES_A_PART: Final = ("id", "player")
_NAMING: Final = ("instrument", "instrument-change", "midi-device", "midi-instrument", "play",
                  "assess", "other-listen")  # fmt: skip
"""Elements that name an instrument or player of the part list."""


def keep_below(sketch: Score) -> SketchBelow:
    """Copy all parts of a short score, to stand below another's.

    Ids of parts and instruments get a prefix, so that they cannot meet those of the sections.

    Args:
        sketch: comments in it stay behind.
    """
    entries = deepcopy(sketch.header.find("part-list"))
    if entries is None:
        return SketchBelow()
    for element in entries.iter():
        if element.get("id") is not None:
            element.set("id", KEPT_SKETCH + str(element.get("id")))
    pieces = []
    for part in sketch.parts:
        copy = part.whole_tree()
        copy.set("id", KEPT_SKETCH + part.id)
        for element in copy.iter(*_NAMING):
            for name in _NAMES_A_PART:
                if element.get(name) is not None:
                    element.set(name, KEPT_SKETCH + str(element.get(name)))
        for element in copy.iter("measure"):
            element.attrib.pop("width", None)
        pieces.append(serialised(copy) + b"\n")
    listed = b"".join(serialised(entry) + b"\n" for entry in entries)
    return SketchBelow(listed, b"".join(pieces))
