"""One frame out of several readings: each passage in its own key."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.problems import Refused
from rewriter.sketch.frame import Frame, FrameBar
from rewriter.sketch.model import Sign
from rewriter.theory.fifths import interval_between_keys, key_name, tonic_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.theory.fifths import Direction, Interval, Key
    from rewriter.theory.time import Moment


def joined_frame(base: Frame, stretches: Sequence[tuple[Moment, Moment, Frame]]) -> Frame:
    """The frame of a score whose passages stand in different keys.

    Where the reading changes, every part gets the key signature of the new one; within a bar
    it stands at its moment.

    Args:
        base: for bars in no passage.
        stretches: start, stop and reading of each passage, in order.
    """
    if all(frame is base for _, _, frame in stretches):
        return base
    of_bar = [base] * len(base.bars)
    inside: dict[int, list[tuple[int, Frame]]] = {}
    for (start, onset), (stop, behind), frame in stretches:
        last = stop if behind > 0 else stop - 1
        first = start if onset == 0 else start + 1
        for bar in range(first, min(last, len(of_bar) - 1) + 1):
            of_bar[bar] = frame
        if onset > 0:
            inside.setdefault(start, []).append((onset, frame))
    return base._replace(bars=_bars(base, of_bar, inside))


def _bars(
    base: Frame, of_bar: Sequence[Frame], inside: dict[int, list[tuple[int, Frame]]]
) -> list[FrameBar]:
    bars: list[FrameBar] = []
    current = base
    for index, frame in enumerate(of_bar):
        bar = frame.bars[index]
        changes = [(o, f) for o, f in inside.get(index, ()) if f.bars[index].key != bar.key]
        new_key = frame is not current and current.bars[index].key != bar.key
        if (new_key and not bar.states_key) or changes:
            bar = copied(bar)
            if new_key and not bar.states_key:
                bar.states_key = True
                bar.attributes = (bar.key + bar.attributes[0], bar.attributes[1])
            bar.signs = [*bar.signs, *(_key_sign(onset, f.bars[index]) for onset, f in changes)]
        current = inside[index][-1][1] if index in inside else frame
        bars.append(bar)
    return bars


def _key_sign(onset: int, bar: FrameBar) -> Sign:
    piece = b"<attributes>" + bar.key + b"</attributes>\n"
    return Sign(onset, "every", piece, "attributes", None, bar.alterations)


def copied(bar: FrameBar) -> FrameBar:
    """A bar that may be changed without changing the other."""
    new = FrameBar(bar.number, bar.opening, bar.metre, bar.fifths, bar.alterations)
    for name in FrameBar.__slots__:
        setattr(new, name, getattr(bar, name))
    return new


def interval_to(frame: Frame, index: int, key: Key, direction: Direction) -> Interval:
    """The interval from the key a bar begins in to another tonic, mode kept.

    Args:
        frame: of the sketch.
        index: of the bar.
        key: asked for.
        direction: to move in.

    Raises:
        Refused: the key asked for has another mode, which no interval leads to.
    """
    bar = frame.bars[index]
    mode = mode_of(bar, key)
    tonic = tonic_of(mode) or 0
    if key.mode and tonic_of(key.mode) != tonic:
        raise Refused(
            f"{frame.bar_text(index)} is in {key_name(bar.fifths, mode)}, "
            "and moving keeps the mode",
            f"write {key_name(key.tonic, '')} for {key_name(key.tonic - tonic, mode)}",
        )
    return interval_between_keys(bar.fifths, mode, key, direction)


def mode_of(bar: FrameBar, key: Key) -> str:
    """The mode a bar is in; where the sketch says none, that of the key asked for, or major."""
    said = bar.mode if tonic_of(bar.mode) is not None else ""
    return said or key.mode or "major"
