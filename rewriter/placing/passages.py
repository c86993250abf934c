"""Passages of a plan found in a sketch: from printed bars and rehearsal marks to moments."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from rewriter.placing.landmarks import Landmarks
from rewriter.problems import Refused
from rewriter.rulefiles.loading import resolve_layout
from rewriter.rulefiles.plans import Passage, Plan, Point, parse_bars
from rewriter.theory.time import Moment, Timeline

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.layouts import Layout
    from rewriter.sketch.frame import Frame


class Placed(NamedTuple):
    """A passage with its moments.

    Attributes:
        passage: as the plan has it.
        start: first moment.
        stop: first moment behind it.
    """

    passage: Passage
    start: Moment
    stop: Moment


def find_passages(plan: Plan, frame: Frame) -> list[Placed]:
    """Look up every passage of a plan, in the order of the score.

    Raises:
        Refused: a bar or mark there is none of, an empty passage, an overlap; the plan and
            the passage are named.
    """
    landmarks = Landmarks(frame, _marks(frame))
    found = []
    for passage in plan.passages:
        try:
            found.append(_placed(passage, frame, landmarks))
        except Refused as refusal:
            refusal.place = f"passage {passage.index + 1}"
            raise refusal.within(plan.file) from None
    found.sort(key=lambda placed: placed.start)
    return _without_overlaps(found, plan, frame)


def find_bars(text: str, frame: Frame) -> tuple[Moment, Moment]:
    """Where some bars begin, and the first moment behind them.

    Args:
        text: as a plan names bars: ``1-8``, ``5``.
        frame: of the sketch.

    Raises:
        Refused: it names no bars, or none that there are, or ends before it begins.
    """
    named = parse_bars(text)
    if named is None:
        raise Refused(f'"{text}" names no bars', 'write it like "1-8" or "5"')
    landmarks = Landmarks(frame, _marks(frame))
    first, last = (Point("named", name) for name in named)
    start, stop = landmarks.start(first, bars_only=True), landmarks.stop(last, bars_only=True)
    if stop <= start:
        raise Refused(f'"{text}" ends before it begins', "look at the bars")
    return start, stop


def passages_in_words(
    frame: Frame, layouts: Sequence[tuple[Moment, str]], ensemble: Ensemble
) -> list[Placed]:
    """The passages that stacks above the tune begin; each goes on to the next.

    Args:
        frame: of the tune.
        layouts: the text between square brackets, by moment.
        ensemble: whose sections they name.

    Raises:
        Refused: a text that is no stack and no layout; the bar is named.
    """
    starts = [moment for moment, _ in layouts]
    ends = [*starts[1:], Moment(len(frame.bars), 0)]
    placed = []
    for index, ((start, text), stop) in enumerate(zip(layouts, ends, strict=True)):
        try:
            layout = resolve_layout(text, ensemble, files=False)
        except Refused as refusal:
            where = f"{frame.bar_text(start.bar)}, words [{text}]"
            refusal.place = ": ".join(filter(None, (where, refusal.place)))
            raise
        placed.append(Placed(from_start_to_end(layout, index), start, stop))
    return placed


def from_start_to_end(layout: Layout, index: int = 0) -> Passage:
    """One layout from the first bar to the last."""
    return Passage(
        index=index,
        start=Point("start"),
        stop=Point("end"),
        by_bars=False,
        pickup=Fraction(0),
        layout=layout,
    )


def plan_of(layout: Layout) -> Plan:
    """A plan of one passage: a layout over the whole cue."""
    return Plan(
        name=layout.name,
        file="",
        title=layout.title,
        summary=layout.summary,
        source=layout.source,
        passages=(from_start_to_end(layout),),
    )


def bars_said(frame: Frame, start: Moment, stop: Moment) -> str:
    """Printed numbers of a stretch's first and last bar: ``13-20``."""
    first, end = (frame.bars[bar].number for bar in first_and_last(frame, start, stop))
    return first if first == end else f"{first}-{end}"


def bars_text(frame: Frame, start: Moment, stop: Moment) -> str:
    """A stretch for people, its movement with it: ``movement 2, bars 13-20``."""
    return frame.bars_text(*first_and_last(frame, start, stop))


def first_and_last(frame: Frame, start: Moment, stop: Moment) -> tuple[int, int]:
    """Indexes of a stretch's first and last bar."""
    last = stop.bar if stop.onset > 0 else stop.bar - 1
    highest = len(frame.bars) - 1  # a border may move behind the last bar's tuplet
    return min(start.bar, highest), min(max(last, start.bar), highest)


def uncovered(frame: Frame, found: Sequence[Placed]) -> list[str]:
    """The bars in no passage, as stretches, for people."""
    covered: set[int] = set()
    for placed in found:
        last = placed.stop.bar if placed.stop.onset > 0 else placed.stop.bar - 1
        covered.update(range(placed.start.bar, last + 1))
    said, begin = [], None
    for bar in range(len(frame.bars) + 1):
        free = bar < len(frame.bars) and bar not in covered
        if free and begin is None:
            begin = bar
        elif not free and begin is not None:
            said.append(frame.bars_text(begin, bar - 1))
            begin = None
    return said


def _marks(frame: Frame) -> Iterator[tuple[Moment, str]]:
    """Rehearsal marks, each where it stands."""
    for index, bar in enumerate(frame.bars):
        for sign in bar.signs:
            if sign.detail and sign.detail.rehearsal:
                yield Moment(index, sign.onset), sign.detail.rehearsal


def _placed(passage: Passage, frame: Frame, landmarks: Landmarks) -> Placed:
    """Start and stop of a passage."""
    start = landmarks.start(passage.start, bars_only=passage.by_bars)
    stop = landmarks.stop(passage.stop, bars_only=passage.by_bars)
    if passage.pickup:
        start = _back(frame, start, passage.pickup)
    if stop <= start:
        raise Refused("it ends before it begins", "look at its bars")
    return Placed(passage, start, stop)


def _back(frame: Frame, moment: Moment, beats: Fraction) -> Moment:
    """The moment some beats before."""
    unit = Fraction(4 * frame.divisions, frame.bars[moment.bar].metre.beat_unit)
    timeline = Timeline(bar.length for bar in frame.bars)
    return timeline.moment(max(timeline.time(moment) - int(beats * unit), 0))


def _without_overlaps(found: list[Placed], plan: Plan, frame: Frame) -> list[Placed]:
    """A pickup or a start within the bar shortens the passage before; nothing else may."""
    for place in range(1, len(found)):
        before, here = found[place - 1], found[place]
        if here.start >= before.stop:
            continue
        begins_inside = here.start.onset > 0 or bool(here.passage.pickup)
        last_bar = before.stop.bar if before.stop.onset > 0 else before.stop.bar - 1
        allowed = begins_inside and here.start > before.start and here.start.bar >= last_bar
        if not allowed:
            raise Refused(
                f"{bars_text(frame, here.start, here.stop)} overlap passage "
                f"{before.passage.index + 1} ({bars_text(frame, before.start, before.stop)})",
                "let one end where the other begins",
                file=plan.file,
                place=f"passage {here.passage.index + 1}",
            )
        found[place - 1] = before._replace(stop=here.start)
    return found
