"""Rank layouts for a tune, in every key near its own."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Literal, NamedTuple, get_args

import msgspec

from rewriter.foreign.opening import open_sketch
from rewriter.placing.cue import Wishes, needs_other_staves, score_cue
from rewriter.placing.fitness import hear
from rewriter.placing.passages import bars_said, plan_of
from rewriter.placing.statement import letter_octaves, strength_times
from rewriter.problems import Refused
from rewriter.reporting.rank import Rank
from rewriter.reporting.ranked import by_levels, group_said, left_out_said
from rewriter.reporting.results import StrengthTime
from rewriter.rulefiles.loading import load_ensemble, names, resolve_layout
from rewriter.rulefiles.repertory import measured_registers
from rewriter.rulefiles.words import RegisterSet
from rewriter.scores.score import read_score
from rewriter.sketch.chords import gather
from rewriter.sketch.frame_reading import UNISON
from rewriter.sketch.in_every_key import Readings, Request
from rewriter.sketch.keys import interval_to
from rewriter.sketch.requests import Keep
from rewriter.studying.ranking import NotRanked, Ranker, keys_within_a_fourth
from rewriter.studying.survey import statement_numbered, tune_between
from rewriter.texts import one_row
from rewriter.theory.fifths import key_name, parse_key
from rewriter.verbs.arguments import (
    check_number,
    check_text_list,
    check_texts,
    check_word,
    name_or_file,
)
from rewriter.verbs.collector import collector_paused
from rewriter.verbs.scored import parts_and_findings
from rewriter.verbs.survey import part_of

if TYPE_CHECKING:
    import os
    from collections.abc import Sequence

    from lxml.etree import _Element, _ElementTree

    from rewriter.placing.writable import Letters
    from rewriter.problems import Finding
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.layouts import Layout
    from rewriter.sketch.frame import Frame
    from rewriter.studying.ranking import Ranked
    from rewriter.theory.fifths import Interval
    from rewriter.theory.time import Moment


@collector_paused()
def rank(
    sketch: str | os.PathLike[str] | bytes | _Element | _ElementTree,
    *,
    layouts: Sequence[str] = (),
    levels: Sequence[int] = (),
    keys: Sequence[str] = (),
    without: Sequence[str] = (),
    bars: str = "",
    statement: int = 0,
    tune: str = "",
    ensemble: str | os.PathLike[str] = "symphonic",
    registers: Literal["", "singing", "measured"] = "",
) -> Rank:
    """Say which layouts suit a tune best, in which key and octave, among as many levels.

    Args:
        sketch: a path, the bytes of a file, or an lxml tree, which is not changed.
        layouts: names, files or stacks; empty for all that are shipped or the project's.
        levels: only layouts of so many octaves; empty for all.
        keys: tonics, such as ``Bb`` or ``fis-Moll``; empty for all within a fourth.
        without: sections that are not to play.
        bars: only these, by printed numbers, such as ``9-16``; empty for all.
        statement: or only this one, as :func:`rewriter.survey` numbers them; 0 for all.
        tune: which staff is the tune, as :func:`rewriter.expand` takes it; empty to look.
        ensemble: name or file.
        registers: by which set stacks are placed; empty for the ensemble's.

    Returns:
        For each number of levels the layouts, the best first, in the figures that
        :func:`rewriter.expand` reports; the first of each is scored in full.

    Raises:
        Refused: an argument, the sketch or a layout cannot be worked with; its text is one
            line.
    """
    check_texts(tune=tune, bars=bars)
    check_text_list(layouts=layouts, keys=keys, without=without)
    for number in levels:
        check_number("levels", number)
    check_number("statement", statement)
    check_word("registers", registers, get_args(RegisterSet))
    if bars and statement:
        raise Refused("bars and a statement are both named", "name one of them")
    forces = load_ensemble(name_or_file("ensemble", ensemble))
    chosen, left = _layouts(layouts, forces)
    chosen = _filtered(chosen, levels, without, forces)
    score = read_score(open_sketch(sketch).source)
    try:
        whole = any(needs_other_staves(plan_of(layout)) for layout in chosen)
        readings = Readings(score, Request(tune, Keep(), whole=whole))
        task = _Task(forces, readings, registers or forces.registers)
        return task.done(score.name, chosen, left, _Part(bars, statement, keys))
    except Refused as refusal:
        raise refusal.within(score.name) from None


def _layouts(named: Sequence[str], forces: Ensemble) -> tuple[list[Layout], list[NotRanked]]:
    """Those named, or all there are, but those of sections that this ensemble has not."""
    if named:
        return [resolve_layout(text, forces) for text in named], []
    chosen, left = [], []
    for name in names("layouts"):
        try:
            chosen.append(resolve_layout(name, forces))
        except Refused as refusal:
            left.append(NotRanked(name, None, (refusal.more or [refusal])[0].what))
    return chosen, left


def _filtered(
    layouts: Sequence[Layout], levels: Sequence[int], without: Sequence[str], forces: Ensemble
) -> list[Layout]:
    silent = set()
    for name in without:
        found = forces.find(name)
        if not found:
            near = forces.nearest(name)
            remedy = f"did you mean {near}?" if near else "see rewriter rules ensembles"
            raise Refused(f'no section is called "{name}" in {forces.name}', remedy)
        silent |= {section.key for section in found}
    kept = [
        layout
        for layout in layouts
        if (not levels or len(layout.stack.levels) in levels) and not silent & _sections(layout)
    ]
    if not kept:
        raise Refused("no layout is left", "ask for other levels or sections")
    return kept


def _sections(layout: Layout) -> set[str]:
    """Every section that a layout gives something to play."""
    stacks = (layout.stack, *(more.stack for more in layout.with_))
    takers = {detail.handover.to for detail in layout.line.values() if detail.handover}
    return takers | {member.section for stack in stacks for member in stack.members}


class _Part(NamedTuple):
    """What of the tune is asked about, and in which keys."""

    bars: str
    statement: int
    keys: Sequence[str]


class _Task:
    """One sketch, one ensemble, one set of registers."""

    def __init__(self, forces: Ensemble, readings: Readings, registers: RegisterSet) -> None:
        self._forces = forces
        self._readings = readings
        self._registers: RegisterSet = registers
        self._span: tuple[Moment, Moment]

    def done(
        self, name: str, layouts: Sequence[Layout], left: Sequence[NotRanked], part: _Part
    ) -> Rank:
        """The ranking of some layouts."""
        sketch = self._readings.tune(UNISON, "top")
        frame = sketch.frame
        self._span = part_of(frame, part.bars)
        if part.statement:
            self._span = statement_numbered(sketch, part.statement)
        stretch = tune_between(sketch, *self._span)
        self._span = stretch.start, stretch.stop
        bar = frame.bars[stretch.start.bar]
        keys = _keys(frame, stretch.start.bar, part.keys)
        playable, lacking = self._with_their_staves(layouts)
        ranked, unwritable = self._ranked(playable, keys)
        groups = by_levels(ranked)
        times = strength_times(hear(stretch.soundings, stretch.voice.strengths))
        return Rank(
            sketch=name,
            tune=one_row(sketch.why),
            ensemble=self._forces.title,
            bars=bars_said(frame, *self._span),
            key=key_name(bar.fifths, bar.mode),
            strengths=[StrengthTime(strength, time) for strength, time in times.items()],
            placed_by=self._registers,
            groups=[
                group_said(group, bar, self._forces, self._findings(group[0]))
                for group in groups
            ],
            left_out=[left_out_said(one) for one in (*left, *lacking, *unwritable)],
        )

    def _with_their_staves(
        self, layouts: Sequence[Layout]
    ) -> tuple[list[Layout], list[NotRanked]]:
        """The layouts whose accompaniment there is in the sketch, and the others."""
        known: dict[str, str] = {}
        kept, left = [], []
        for layout in layouts:
            for more in layout.with_:
                if more.source not in known:
                    known[more.source] = self._lacking(more.source)
            why = next(filter(None, (known[more.source] for more in layout.with_)), "")
            if why:
                left.append(NotRanked(layout.name, None, why))
            else:
                kept.append(layout)
        return kept, left

    def _lacking(self, source: str) -> str:
        """Why there is no such voice in the sketch; empty where there is."""
        try:
            self._readings.other(source, UNISON, partial(gather, chords="top"))
        except Refused as refusal:
            return refusal.what
        return ""

    def _ranked(
        self, layouts: Sequence[Layout], keys: Sequence[Interval]
    ) -> tuple[list[Ranked], list[NotRanked]]:
        repertory = measured_registers() if self._registers == "measured" else None
        ranker = Ranker(self._forces, repertory, self._letters)
        ranked: list[Ranked] = []
        for chords in dict.fromkeys(layout.chords for layout in layouts):
            alike = [layout for layout in layouts if layout.chords == chords]
            stretch = tune_between(self._readings.tune(UNISON, chords), *self._span)
            ranked += ranker.rank(alike, stretch, keys)
        return ranked, ranker.not_ranked

    def _letters(self, by: Interval, layout: Layout) -> Letters:
        """Gives the octaves of letters in a key, which is read only where that is asked."""

        def letters() -> tuple[int, int]:
            sketch = self._readings.tune(by, layout.chords)
            return letter_octaves([tune_between(sketch, *self._span)])

        return letters

    def _findings(self, one: Ranked) -> list[Finding]:
        """What is found in the score that a layout makes."""
        plan = plan_of(one.layout)
        passage = msgspec.structs.replace(plan.passages[0], by=one.by)
        plan = msgspec.structs.replace(plan, passages=(passage,))
        wishes = Wishes(out_of_range="keep", registers=self._registers)
        cue = score_cue(self._readings, plan, self._forces, wishes, self._span)
        return parts_and_findings(cue, self._forces, self._forces.language)[1]


def _keys(frame: Frame, bar: int, named: Sequence[str]) -> list[Interval]:
    """The keys asked for, as intervals from the one a bar begins in."""
    if not named:
        return keys_within_a_fourth(frame.bars[bar].fifths)
    try:
        keys = [parse_key(text) for text in named]
    except ValueError as fault:
        raise Refused(str(fault)) from None
    return list(dict.fromkeys(interval_to(frame, bar, key, "nearest") for key in keys))
