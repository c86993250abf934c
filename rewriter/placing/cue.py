"""From a plan, or stacks written in the sketch, to the whole cue scored in its keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from rewriter.placing.facts import LineLeaps, RunHandedOver
from rewriter.placing.passage_by_passage import CueScorer, PassageScore, leaps
from rewriter.placing.passages import (
    Placed,
    bars_text,
    find_passages,
    passages_in_words,
    uncovered,
)
from rewriter.problems import Refused
from rewriter.rulefiles.stack_lines import octave_word
from rewriter.sketch.account import Account, ReadStretch, account_of, listed_bars
from rewriter.sketch.frame_reading import UNISON
from rewriter.sketch.keys import interval_to, joined_frame, mode_of
from rewriter.theory.fifths import Direction, Interval, parse_interval, parse_key, tonic_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.plans import Plan
    from rewriter.rulefiles.words import Chords, OutOfRange, RegisterSet
    from rewriter.sketch.accompaniment import Accompaniment
    from rewriter.sketch.frame import Frame, FrameBar
    from rewriter.sketch.in_every_key import Readings
    from rewriter.sketch.short_score import Sketch
    from rewriter.theory.time import Moment


class Wishes(msgspec.Struct, frozen=True):
    """What the user says beyond the plan.

    Attributes:
        key: tonic to move the cue to; empty for none.
        by: interval to move it by; empty for none.
        direction: which way to go to the key.
        chords: overrides what passages and layouts say.
        out_of_range: likewise.
        registers: overrides by which set of registers the ensemble places stacks.
    """

    key: str = ""
    by: str = ""
    direction: Direction = "nearest"
    chords: Chords | None = None
    out_of_range: OutOfRange | None = None
    registers: RegisterSet | None = None


class Cue(msgspec.Struct, frozen=True):
    """A cue scored.

    Attributes:
        sketch: the reading the frame comes from.
        frame: of the new score.
        passages: in the order of the score.
        used: accompanying voices that are played.
        not_carried: staves and voices of the sketch that nothing plays.
        notes: things worth saying about the whole.
        account: what became of the tune.
        leaps: of lines at the borders of passages.
    """

    sketch: Sketch
    frame: Frame
    passages: list[PassageScore]
    used: list[Accompaniment]
    not_carried: list[str]
    notes: list[str]
    account: Account
    leaps: list[LineLeaps]


def needs_other_staves(plan: Plan | None) -> bool:
    """True when a layout may play more of the sketch than the tune."""
    return plan is None or any(passage.layout.with_ for passage in plan.passages)


def most_lines(plan: Plan | None, ensemble: Ensemble) -> int:
    """How many lines a plan makes at a time; without one as many as there are sections."""
    if plan is None:
        return len(ensemble.sections)
    layouts = [passage.layout for passage in plan.passages]
    return max(
        sum(
            len(level.members)
            for stack in (layout.stack, *(other.stack for other in layout.with_))
            for level in stack.levels
        )
        for layout in layouts
    )


def score_cue(
    readings: Readings,
    plan: Plan | None,
    ensemble: Ensemble,
    wishes: Wishes,
    part: tuple[Moment, Moment] | None = None,
) -> Cue:
    """Score a cue.

    Args:
        readings: of the sketch.
        plan: None to follow the stacks written above the tune.
        ensemble: who there is to play.
        wishes: what the user says beyond the plan.
        part: first moment and first behind the only passage of a plan, whatever bars it names.

    Raises:
        Refused: the plan does not fit the sketch, or a passage cannot be scored.
    """
    chords = wishes.chords or (plan.passages[0].layout.chords if plan else "top")
    original = readings.tune(UNISON, chords)
    move = _move(wishes, original.frame)
    sketch = readings.tune(move, chords)._replace(dropped=original.dropped)
    if plan is not None and part is not None:
        passages = [Placed(plan.passages[0], *part)]
    else:
        passages = _passages(plan, sketch, ensemble)
    file = plan.file if plan else ""
    by = [_with(move, _passage_move(placed, sketch.frame, file)) for placed in passages]
    registers = wishes.registers or ensemble.registers
    scorer = CueScorer(ensemble, sketch.frame, readings, wishes.out_of_range, registers)
    scored = scorer.score(passages, by, wishes.chords)
    tunes = [readings.tune(one.by, one.chords) for one in scored]
    stretches = [
        (one.start, one.stop, tune.frame) for one, tune in zip(scored, tunes, strict=True)
    ]
    frame = joined_frame(sketch.frame, stretches)
    account = account_of(
        sketch,
        [
            ReadStretch(
                one.start, one.stop, bars_text(frame, one.start, one.stop), one.chords, tune
            )
            for one, tune in zip(scored, tunes, strict=True)
        ],
    )
    notes = [
        *account.notes,
        *_unused(plan, sketch),
        *scorer.notes,
        *_gaps(sketch.frame, passages),
    ]
    notes += _assumed(wishes, passages, original.frame.bars)
    if move != UNISON:
        notes += _moved(readings, passages, ensemble, wishes, scored)
    places: set[tuple[str, str, str]] = {sketch.place, *(one.place for one in scorer.used)}
    left = sketch.not_carried
    if scorer.used:
        from rewriter.sketch.accompaniment import not_carried

        left = not_carried(readings.music, places)
    leaping = leaps(scored, {id(tune.tune) for tune in tunes})
    return Cue(sketch, frame, scored, scorer.used, left, notes, account, leaping)


def _move(wishes: Wishes, frame: Frame) -> Interval:
    if wishes.key and wishes.by:
        raise Refused("a key and an interval are both named", "name one of them")
    try:
        if wishes.key:
            return interval_to(frame, 0, parse_key(wishes.key), wishes.direction)
        return parse_interval(wishes.by, wishes.direction) if wishes.by else UNISON
    except ValueError as fault:
        raise Refused(str(fault)) from None


def _passage_move(placed: Placed, frame: Frame, file: str) -> Interval:
    passage = placed.passage
    if passage.key is None:
        return passage.by or UNISON
    try:
        return interval_to(frame, placed.start[0], passage.key, passage.direction)
    except Refused as refusal:
        refusal.place = f"passage {passage.index + 1}"
        raise refusal.within(file) from None


def _assumed(wishes: Wishes, passages: Sequence[Placed], bars: Sequence[FrameBar]) -> list[str]:
    """Which mode is assumed where a key is asked for and the sketch does not say its own."""
    asked = [(bars[0], parse_key(wishes.key))] if wishes.key else []
    asked += [
        (bars[placed.start.bar], placed.passage.key)
        for placed in passages
        if placed.passage.key is not None
    ]
    assumed = {mode_of(bar, key): None for bar, key in asked if tonic_of(bar.mode) is None}
    what = "the sketch does not say whether it is major or minor"
    return [f"{what}; {mode} is assumed" for mode in assumed]


def _with(one: Interval, other: Interval) -> Interval:
    return Interval(one.steps + other.steps, one.semitones + other.semitones)


def _passages(plan: Plan | None, sketch: Sketch, ensemble: Ensemble) -> list[Placed]:
    if plan is not None:
        return find_passages(plan, sketch.frame)
    if not sketch.layouts:
        raise Refused(
            "nothing says who plays",
            "name a layout or a plan, or write a stack such as [Vn I / Vla] above the tune",
        )
    return passages_in_words(sketch.frame, sketch.layouts, ensemble)


def _unused(plan: Plan | None, sketch: Sketch) -> list[str]:
    """Layouts written in the sketch, where one from outside wins."""
    if plan is None or not sketch.layouts:
        return []
    listed = ", ".join(
        f"[{text}] ({sketch.frame.bar_text(at.bar)})" for at, text in sketch.layouts
    )
    return [f"not used, since a layout or plan is named: {listed}"]


def _gaps(frame: Frame, passages: Sequence[Placed]) -> list[str]:
    said = uncovered(frame, passages)
    if not said:
        return []
    verb = "is" if len(said) == 1 and said[0].rpartition(", ")[2].startswith("bar ") else "are"
    return [f"{listed_bars(said)} {verb} in no passage: everybody rests"]


def _moved(
    readings: Readings,
    passages: Sequence[Placed],
    ensemble: Ensemble,
    wishes: Wishes,
    now: Sequence[PassageScore],
) -> list[str]:
    """What lies or passes elsewhere in the new key than it would in the old."""
    frame = readings.tune(UNISON, now[0].chords).frame
    registers = wishes.registers or ensemble.registers
    scorer = CueScorer(ensemble, frame, readings, "keep", registers)
    by = [_passage_move(placed, frame, "") for placed in passages]
    before = scorer.score(passages, by, wishes.chords)
    said = []
    for old, new in zip(before, now, strict=True):
        bars = bars_text(frame, new.start, new.stop)
        was, is_now = old.stood.placement, new.stood.placement
        if was.top_octave != is_now.top_octave:
            said.append(
                f"{bars}: in the new key the stack stands "
                f"{octave_word(is_now.top_octave)} and no longer "
                f"{octave_word(was.top_octave)}: {is_now.why}"
            )
        handed = [_handovers(one, frame) for one in (old, new)]
        if handed[0] != handed[1]:
            said.append(
                f"{bars}: in the new key there are {_handed(handed[1])}, "
                f"in the old there were {_handed(handed[0])}"
            )
    return said


def _handovers(passage: PassageScore, frame: Frame) -> list[str]:
    """Printed numbers of the bars in which something is handed over."""
    facts = passage.scored.facts
    return [frame.bars[f.first.bar].number for f in facts if isinstance(f, RunHandedOver)]


def _handed(bars: Sequence[str]) -> str:
    if not bars:
        return "no handovers"
    return f"handovers in bar{'s' if len(bars) > 1 else ''} {', '.join(bars)}"
