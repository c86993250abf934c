"""What all parts of the short score share: bars, barlines, keys, metres, as finished bytes."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.sketch.model import Alterations, Sign
    from rewriter.theory.metre import Metre


class Pause(NamedTuple):
    """A moment at which the whole score holds.

    Attributes:
        onset: divisions from the start of the bar.
        until: likewise; until then nobody should move on.
        data: ``<fermata>`` as bytes.
    """

    onset: int
    until: int
    data: bytes


class FrameBar:
    """A bar as all parts share it.

    Attributes:
        number: as printed.
        opening: the ``<measure>`` tag.
        length: divisions.
        metre: in force at its start.
        fifths: key in force at its start, sounding.
        key: its ``<key>`` as bytes; empty where the sketch has none yet.
        mode: its ``<mode>``; empty where the sketch does not say.
        alterations: what that key does to each letter.
        left: left barlines.
        lacking: divisions an upbeat bar, or the rest of a divided one, lacks at its start.
        short: True where it lacks of its metre what somebody can count, at either end.
        right: right barlines.
        attributes: children of the opening ``<attributes>`` before and behind the clef.
        states_key: True where a key is among them.
        signs: what every part or the top part has within the bar.
        pauses: fermatas on notes and rests, for every part.
    """

    __slots__ = (
        "alterations",
        "attributes",
        "fifths",
        "implicit",
        "key",
        "lacking",
        "left",
        "length",
        "metre",
        "mode",
        "number",
        "opening",
        "pauses",
        "right",
        "short",
        "signs",
        "states_key",
    )  # fmt: skip

    def __init__(
        self, number: str, opening: bytes, metre: Metre, fifths: int, alterations: Alterations
    ) -> None:
        self.number = number
        self.opening = opening
        self.implicit = False
        self.key, self.mode = b"", ""
        self.states_key = False
        self.length = self.lacking = 0
        self.short = False
        self.metre = metre
        self.fifths = fifths
        self.alterations = alterations
        self.left = b""
        self.right = b""
        self.attributes: tuple[bytes, bytes] = (b"", b"")
        self.signs: list[Sign] = []
        self.pauses: tuple[Pause, ...] = ()


class Frame(NamedTuple):
    """What all parts share.

    Attributes:
        bars: in order.
        divisions: of a quarter.
        movements: index of the first bar of each movement.
    """

    bars: list[FrameBar]
    divisions: int
    movements: Sequence[int] = (0,)

    def movement(self, bar: int) -> int:
        """Which movement a bar is in, counted from 1; 0 where there is only one."""
        return bisect_right(self.movements, bar) if len(self.movements) > 1 else 0

    def bar_text(self, bar: int) -> str:
        """A bar for people: ``bar 3``, ``movement 2, bar 3``."""
        return self.bars_text(bar, bar)

    def bars_text(self, first: int, last: int) -> str:
        """A stretch of bars for people, with its movement where there are several.

        ``bars 3-9``, ``movement 2, bars 3-9``, ``movement 1, bar 9, to movement 2, bar 3``.
        """
        begins, ends = self.bars[first].number, self.bars[last].number
        movement = self.movement(first)
        if movement != self.movement(last):
            return f"{self.bar_text(first)}, to {self.bar_text(last)}"
        said = f"bar {begins}" if begins == ends else f"bars {begins}-{ends}"
        return f"movement {movement}, {said}" if movement else said

    @property
    def double_bars(self) -> frozenset[int]:
        """Indexes of the bars that begin behind a double bar of any kind."""
        return frozenset(
            index
            for index, bar in enumerate(self.bars)
            if (index and _is_double(self.bars[index - 1].right)) or _is_double(bar.left)
        )


def _is_double(barline: bytes) -> bool:
    return b">light-" in barline or b">heavy" in barline
