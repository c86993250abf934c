"""Which directions of a part are its own, and not for the whole score."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from rewriter.editing.elements import found_in, without
from rewriter.scores.children import element_of
from rewriter.sketch.directions import read_direction
from rewriter.sketch.tempo_marks import ALONE, Measures, tempo_marks

if TYPE_CHECKING:
    from collections.abc import Callable

    from rewriter.checking.finished import Finished
    from rewriter.scores.events import Event

_ALWAYS_OWN: Final = (b"<dynamics", b"<wedge", b"<octave-shift", b"<dashes", b"<bracket")


class OwnSigns:
    """The directions of a part."""

    def __init__(self, score: Finished, part: int) -> None:
        """Look through a part.

        Args:
            score: it is in.
            part: index in score order.
        """
        parts = score.score.parts
        self._around = tempo_marks(parts[part], Measures(parts)).around

    def without_own(
        self, bar: int, event: Event, direction: bytes, kept: Callable[[bytes], bool]
    ) -> bytes:
        """A direction without what is the part's own; empty where nothing is left.

        Args:
            bar: index of the bar it stands in.
            event: the direction.
            direction: the same as it stands in the file.
            kept: True for a ``<direction-type>`` that stays whatever it is.
        """
        around = self._around.get((bar, event.place), ALONE)
        shapes = read_direction(element_of(event.data), 1, around).shapes
        scopes = {shape.scope for shape in shapes}
        for_all = bool(scopes) and "line" not in scopes
        mixed = len(scopes) > 1

        def goes(kind: bytes) -> bool:
            if kept(kind):
                return False
            always = any(tag in kind for tag in _ALWAYS_OWN)
            return always or not (for_all or mixed)

        if not any(goes(kind) for kind in found_in(direction, "direction-type")):
            return direction
        return without(direction, "direction-type", wanted=goes)
