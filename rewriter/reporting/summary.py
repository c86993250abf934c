"""From what was placed and written to the report."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

import msgspec

from rewriter.placing.fitness import (
    line_fitness,
    profiles_of,
    register_shares,
    whole_profile,
)
from rewriter.placing.octave import ANCHORED
from rewriter.placing.passages import first_and_last
from rewriter.placing.usual import how_usual
from rewriter.problems import beat_text
from rewriter.reporting.results import (
    Compass,
    LineResult,
    PassageResult,
    RegisterTime,
    Report,
    StackLine,
    StrengthTime,
    Usual,
)
from rewriter.rulefiles.repertory import measured_registers
from rewriter.sketch.describing import Describer
from rewriter.sketch.voices import beat_at
from rewriter.texts import LONGEST_LIST, one_row
from rewriter.theory.fifths import key_name

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from rewriter.placing.cue import Cue
    from rewriter.placing.fitness import Profile, Profiles
    from rewriter.placing.lines import Line
    from rewriter.placing.passage_by_passage import PassageScore
    from rewriter.problems import Finding
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.plans import Plan
    from rewriter.sketch.frame import Frame, FrameBar
    from rewriter.sketch.model import Sounding

    NameOf = Callable[[Sounding, int], str]


IN_THE_SKETCH = "written in the sketch, above the tune"
"""What stands for the title of a plan that is no file."""


class Left(msgspec.Struct, frozen=True):
    """What of the sketch's file is nowhere in the score.

    Attributes:
        not_carried: staves and voices.
        comments: how many.
        remarks: what its format could not say.
    """

    not_carried: Sequence[str]
    comments: int
    remarks: Sequence[str] = ()


def report_of(
    name: str,
    ensemble: Ensemble,
    plan: Plan | None,
    cue: Cue,
    findings: Sequence[Finding],
    left: Left,
) -> Report:
    """The account of a cue.

    Args:
        name: of the sketch, as the user named it.
        ensemble: who there was to play.
        plan: what was asked for; None where the sketch itself says it.
        cue: as it was scored.
        findings: in it.
        left: what of the file is nowhere in the score.
    """
    carried, dropped = Counter(cue.account.carried), Counter(cue.account.dropped)
    if left.comments:
        dropped["comments"] += left.comments
    first_readings = {one.place: one for one in reversed(cue.used)}
    for used in first_readings.values():
        carried.update(used.carried)
        dropped.update(used.dropped)
    in_order = {section.key: place for place, section in enumerate(ensemble.sections)}
    lines = [
        result
        for place in range(len(cue.passages))
        for result in _lines(cue, place, lambda line: in_order[line.section.key])
    ]
    playing = {line.section for line in lines}
    return Report(
        sketch=name,
        tune=one_row(cue.sketch.why),
        ensemble=ensemble.title,
        plan=_title(plan),
        bars=len(cue.frame.bars),
        passages=[_passage(one, cue.frame) for one in cue.passages],
        lines=lines,
        tacet=[s.key for s in ensemble.sections if s.key not in playing],
        kept=dict(sorted(carried.items())),
        dropped=dict(sorted(dropped.items())),
        not_played=[one_row(said, LONGEST_LIST) for said in left.not_carried],
        remarks=[one_row(said, LONGEST_LIST) for said in (*left.remarks, *cue.notes)],
        findings=list(findings),
    )


def _title(plan: Plan | None) -> str:
    """How a report calls a plan; one layout for the whole cue is called none."""
    if plan is None:
        return IN_THE_SKETCH
    return plan.title if plan.file else ""


def _passage(one: PassageScore, frame: Frame) -> PassageResult:
    stack, stood = one.layout.stack, one.stood
    placement = stood.placement
    first = _first_whole_bar(one, frame)
    begins, ends = map(frame.movement, first_and_last(frame, one.start, one.stop))
    return PassageResult(
        bars=one.bars,
        movement=begins,
        to_movement=ends,
        from_beat=_beat_within(one.start, frame),
        to_beat=_beat_within(one.stop, frame),
        layout=one.layout.title,
        stack=stack.written(placement.top_octave),
        stack_as_written=stack.text,
        by=one.by.text,
        key=key_name(first.fifths, first.mode),
        octave_named=placement.why == ANCHORED,
        why=placement.why,
        runner_up=placement.runner_up,
        lines=[
            StackLine(
                section=line.member.section,
                share=line.member.share.text,
                octave=line.octave,
                sings=line.fitness,
            )
            for line in placement.lines
        ],
        strengths=[StrengthTime(name, time) for name, time in stood.times.items()],
        octave_as_plain=stood.as_plain,
        placed_by=stood.registers,
        octave_by_other=stood.by_other,
    )


def _first_whole_bar(one: PassageScore, frame: Frame) -> FrameBar:
    """The bar whose key a passage has; a bar it begins within has that of the one before."""
    (bar, onset), (stop, _) = one.start, one.stop
    return frame.bars[min(bar + (onset > 0 and bar + 1 < stop), len(frame.bars) - 1)]


def _beat_within(moment: tuple[int, int], frame: Frame) -> str:
    """The beat of a moment within a bar; empty on the barline."""
    bar, onset = moment
    return beat_text(beat_at(frame.bars[bar], onset, frame.divisions)) if onset else ""


def _lines(cue: Cue, place: int, order: Callable[[Line], int]) -> Iterator[LineResult]:
    """What the report says of the lines of one passage."""
    one = cue.passages[place]
    others = {id(used.voice) for used in cue.used}
    surveys: dict[int, _Survey] = {}  # lines of the same notes are looked through once
    namers: dict[int, Describer] = {}
    for line in sorted(one.scored.lines, key=order):
        namer = namers.setdefault(id(line.voice), Describer(line.voice, cue.frame))
        key = id(line.soundings)
        if key not in surveys:
            surveys[key] = _survey(line, cue.frame)
        survey = surveys[key]
        result = _line_result(line, survey, one.bars, namer.name)
        is_tune = id(line.voice) not in others
        usual = _usual(line, survey.lengths) if is_tune else None
        yield msgspec.structs.replace(result, is_tune=is_tune, usual=usual, passage=place)


class _Survey(msgspec.Struct, frozen=True):
    """What a line plays: length of each pitch, the ends of its compass and their bars."""

    profiles: Profiles
    lengths: Profile
    ends: tuple[_End, _End] | None


class _End(msgspec.Struct, frozen=True):
    """The first of the lowest or highest notes, and the printed bars that have one."""

    first: Sounding
    bars: list[str]
    movements: list[int]


def _survey(line: Line, frame: Frame) -> _Survey:
    soundings = line.soundings
    profiles = profiles_of(soundings, line.voice.strengths)
    lengths = whole_profile(profiles)
    if not lengths:
        return _Survey(profiles, lengths, None)
    ends = []
    for midi in (min(lengths), max(lengths)):
        found = [sounding for sounding in soundings if sounding.midi == midi]
        where = {sounding.bar: frame.bars[sounding.bar].number for sounding in found}
        bars = dict.fromkeys((frame.movement(bar), number) for bar, number in where.items())
        movements = [movement for movement, _ in bars if movement]
        ends.append(_End(found[0], [number for _, number in bars], movements))
    return _Survey(profiles, lengths, (ends[0], ends[1]))


def _usual(line: Line, lengths: Profile) -> Usual | None:
    """How usual the place of a line is; None where nothing of its section was measured."""
    measured = measured_registers().of(line.section)
    found = measured and how_usual(measured, lengths, 12 * line.octave)
    return Usual(found.as_high, found.up_to) if found else None


def _line_result(line: Line, survey: _Survey, bars: str, name_of: NameOf) -> LineResult:
    """What the report says of a line of the tune in the first passage.

    Args:
        line: as it was placed.
        survey: of its notes.
        bars: printed numbers of its first and last bar.
        name_of: the spelled name of a note, some octaves away.
    """
    times = register_shares(line.section, survey.lengths, 12 * line.octave)
    lowest, highest = survey.ends or (None, None)
    return LineResult(
        section=line.section.key,
        share=line.share.text,
        players=line.players,
        octave=line.octave,
        octaves_below_top=line.level,
        plays=line.voice.name,
        is_tune=True,
        handed_over_by=line.taken_from,
        bars=bars,
        sings=line_fitness(line.section, survey.profiles, 12 * line.octave, line.levels),
        lowest=_compass(lowest, line.octave, name_of),
        highest=_compass(highest, line.octave, name_of),
        registers=[RegisterTime(name, time) for name, time in times],
        usual=None,
        notes=len(line.soundings),
        passage=0,
    )


def _compass(end: _End | None, octave: int, name_of: NameOf) -> Compass | None:
    if end is None:
        return None
    midi = end.first.midi + 12 * octave
    return Compass(name_of(end.first, octave), midi, end.bars, end.movements)
