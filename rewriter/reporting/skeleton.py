"""The skeleton of a plan: its passages at the rehearsal marks, the layouts left to fill in."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from rewriter.placing.passages import bars_text
from rewriter.placing.points import Points
from rewriter.sketch.describing import Describer
from rewriter.sketch.listening import between
from rewriter.sketch.overview import keys_in, marks_in
from rewriter.texts import printable
from rewriter.theory.time import Moment

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.sketch.overview import Seen
    from rewriter.sketch.short_score import Sketch


def plan_skeleton(
    sketch: Sketch, layouts: Sequence[Seen], *, title: str, file: str, has_tune: bool
) -> str:
    """A plan of which only the layouts are missing, as TOML.

    A passage begins at each rehearsal mark and at each layout that is written above the tune;
    in a sketch without either, at each double bar.

    Args:
        sketch: read.
        layouts: those written above the tune.
        title: of the plan; empty for none.
        file: how the sketch is called.
        has_tune: False where what was read is some part, for want of a tune.
    """
    starts = _starts(sketch, layouts)
    stops = [*starts[1:], Moment(len(sketch.frame.bars), 0)]
    points = Points(sketch.frame)
    pieces = [
        f"# a plan for {printable(file)}; a layout is a name, a file or a stack\n",
        f"title = {_text(title)}\n" if title else "",
    ]
    for start, stop in zip(starts, stops, strict=True):
        layout = next((seen.text for seen in reversed(layouts) if seen.at <= start), "")
        pieces.append(
            f"\n[[passage]]  # {printable(_said(sketch, start, stop, has_tune=has_tune))}\n"
            f"from = {_text(points.begin(start))}\n"
            f"to = {_text(points.end(stop))}\n"
            f"layout = {_text(layout)}\n"
        )
    return "".join(pieces)


def _starts(sketch: Sketch, layouts: Sequence[Seen]) -> list[Moment]:
    frame = sketch.frame
    found = {seen.at for seen in (*marks_in(frame), *layouts)}
    found = found or {Moment(bar, 0) for bar in frame.double_bars}
    inside = {at for at in found if at.bar < len(frame.bars) and _is_within(sketch, at)}
    return sorted(inside | {Moment(0, 0)})


def _is_within(sketch: Sketch, at: Moment) -> bool:
    """False for a mark behind the last beat of its bar, where no passage can begin."""
    return at.onset < sketch.frame.bars[at.bar].length


def _said(sketch: Sketch, start: Moment, stop: Moment, *, has_tune: bool) -> str:
    """What the passage is, for whoever fills it in: bars, key, where the tune lies."""
    key = next(seen.text for seen in reversed(keys_in(sketch.frame)) if seen.at <= start)
    said = f"{bars_text(sketch.frame, start, stop)}, {key}"
    if not has_tune:
        return said
    sounding = between(sketch.tune, start, stop)
    if not sounding:
        return f"{said}; the tune rests"
    name = Describer(sketch.tune, sketch.frame).name
    ends = (pick(sounding, key=lambda note: note.midi) for pick in (min, max))
    lowest, highest = (name(note, 0) for note in ends)
    compass = f"on {lowest}" if lowest == highest else f"from {lowest} to {highest}"
    return f"{said}; the tune {compass}"


def _text(text: str) -> str:
    """Text in quotes, as TOML has it: its escapes are those of JSON, and some more."""
    said = json.dumps(text, ensure_ascii=False)
    return "".join(sign if sign.isprintable() else f"\\U{ord(sign):08x}" for sign in said)
