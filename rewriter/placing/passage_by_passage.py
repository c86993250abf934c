"""A whole cue: every passage of a plan placed and scored, in the order of the score."""

from __future__ import annotations

from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import msgspec

from rewriter.placing.facts import LineLeaps
from rewriter.placing.lines import Line, Stretch, stretch_of
from rewriter.placing.passages import Placed, bars_said
from rewriter.placing.pauses import moving_on
from rewriter.placing.phrases import breathing
from rewriter.placing.scoring import Scored, score_stretch
from rewriter.placing.statement import StatementPlaced, place_statement
from rewriter.placing.strands import cut_moment
from rewriter.sketch.chords import gather

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.layouts import Layout, With
    from rewriter.rulefiles.words import Chords, OutOfRange, RegisterSet
    from rewriter.sketch.accompaniment import Accompaniment
    from rewriter.sketch.frame import Frame
    from rewriter.sketch.in_every_key import Readings
    from rewriter.sketch.model import Voice
    from rewriter.sketch.short_score import Sketch
    from rewriter.sketch.voices import Settle
    from rewriter.theory.fifths import Interval
    from rewriter.theory.time import Moment


class PassageScore(NamedTuple):
    """A passage of the cue, scored.

    Attributes:
        bars: printed numbers of its first and last bar.
        layout: who plays.
        stood: where its stack was put.
        scored: its lines and what there is to tell of them.
        by: the interval its music is moved by.
        chords: what was done with chords in the tune.
        refuses: True where no note may be out of range.
        start: first moment.
        stop: first moment behind it.
    """

    bars: str
    layout: Layout
    stood: StatementPlaced
    scored: Scored
    by: Interval
    chords: Chords
    refuses: bool
    start: Moment
    stop: Moment


class _Ready(msgspec.Struct, frozen=True):
    """A passage with the reading of the tune it uses."""

    placed: Placed
    sketch: Sketch
    by: Interval
    chords: Chords
    stretch: Stretch


class CueScorer:
    """Scores passages over readings of one sketch, each made once."""

    def __init__(
        self,
        ensemble: Ensemble,
        frame: Frame,
        readings: Readings,
        policy: OutOfRange | None,
        registers: RegisterSet,
    ) -> None:
        """Prepare.

        Args:
            ensemble: whose figures hold.
            frame: of the tune in the key of the whole cue.
            readings: of the sketch.
            policy: overrides the layouts'; None for theirs.
            registers: by which set stacks are placed.
        """
        self._ensemble = ensemble
        self._frame = frame
        self._readings = readings
        self._policy = policy
        self._breathing = breathing(frame)
        self._registers = registers
        self._others: dict[tuple[object, ...], Accompaniment] = {}
        self.used: list[Accompaniment] = []
        self.notes: list[str] = []

    def score(
        self, passages: Sequence[Placed], by: Sequence[Interval], chords: Chords | None
    ) -> list[PassageScore]:
        """Score every passage.

        Args:
            passages: in the order of the score.
            by: the interval each is moved by.
            chords: overrides what passages and layouts say; None for what they say.

        Raises:
            Refused: a stack that cannot be written.
        """
        ready = []
        for placed, interval in zip(passages, by, strict=True):
            layout = placed.passage.layout
            mode = chords or placed.passage.chords or layout.chords
            sketch = self._readings.tune(interval, mode)
            cut = self._cut(placed, sketch.tune)
            stretch = stretch_of(sketch.tune, cut.start, cut.stop, self._breathing)
            ready.append(_Ready(cut, sketch, interval, mode, stretch))
        scored = []
        for statement in _statements(ready):
            stood = self._placement(statement)
            scored += [self._score_one(one, stood) for one in statement]
        return [self._with_pauses(one) for one in self._as_players_come_free(scored)]

    def _with_pauses(self, one: PassageScore) -> PassageScore:
        """The passage with what there is to tell of its fermatas."""
        facts = [*one.scored.facts, *moving_on(one.scored.lines, self._frame)]
        return one._replace(scored=one.scored._replace(facts=facts))

    def _as_players_come_free(self, scored: Sequence[PassageScore]) -> list[PassageScore]:
        """The passages, where each begins only what somebody is free to play."""
        free = list(scored[:1])
        for after in scored[1:]:
            bar, onset = after.start
            old = [line for one in free if one.stop > (bar, 0) for line in one.scored.lines]
            if old and onset > 0:
                from rewriter.placing.holding import held_over

                new = after.scored
                lines, late = held_over(old, new.lines, after.start)
                new = new._replace(lines=lines, facts=[*new.facts, *late])
                free.append(after._replace(scored=new))
            else:
                free.append(after)
        return free

    def _cut(self, placed: Placed, voice: Voice) -> Placed:
        """A passage whose borders lie where the tune can be cut."""
        divisions = self._frame.divisions
        start = cut_moment(voice, placed.start, divisions)
        stop = cut_moment(voice, placed.stop, divisions)
        for moment, border in ((placed.start, start), (placed.stop, stop)):
            if border != moment:
                bar = self._frame.bar_text(moment[0])
                said = f"the border in {bar} moves behind the tuplet or tremolo it would cut"
                if said not in self.notes:
                    self.notes.append(said)
        return placed._replace(start=start, stop=stop)

    def _placement(self, statement: Sequence[_Ready]) -> StatementPlaced:
        """Where the stack of a statement goes; a passage may name the octave itself."""
        first = statement[0].placed.passage
        stack = first.layout.stack
        if first.octave is not None:
            stack = stack._replace(top_octave=first.octave)
        stretches = [one.stretch for one in statement]
        condition = first.layout.condition
        return place_statement(stack, self._ensemble, stretches, self._registers, condition)

    def _score_one(self, one: _Ready, stood: StatementPlaced) -> PassageScore:
        passage = one.placed.passage
        policy = self._policy or passage.layout.limits.out_of_range
        scored = score_stretch(
            passage.layout,
            stood.placement,
            self._ensemble,
            one.stretch,
            policy=policy,
            accompany=partial(self._accompany, one),
        )
        bars = bars_said(self._frame, one.placed.start, one.placed.stop)
        return PassageScore(
            bars, passage.layout, stood, scored, one.by, one.chords,
            policy == "refuse", *one.placed[1:],
        )  # fmt: skip

    def _accompany(self, one: _Ready, more: With) -> list[Stretch]:
        """One stretch for all lines, or one for each where chords are dealt out."""
        lines = len(more.stack.members)
        settles: list[tuple[object, Settle]] = [("top", partial(gather, chords="top"))]
        if more.chords == "divide":
            from rewriter.sketch.dealing import dealt

            settles = [((at, lines), dealt(at, lines)) for at in range(lines)]
        stretches = []
        for name, settle in settles:
            key = (more.source, one.by, name)
            if key not in self._others:
                other = self._readings.other(more.source, one.by, settle)
                if more.chords == "divide":
                    other = other.dealt_out()
                self._others[key] = other.as_strong_as(one.sketch.tune)
                self.used.append(self._others[key])
            voice = self._others[key].voice
            divisions = self._frame.divisions
            start = cut_moment(voice, one.placed.start, divisions)
            stop = cut_moment(voice, one.placed.stop, divisions)
            stretches.append(stretch_of(voice, start, stop, self._breathing))
        return stretches


def _statements(ready: Sequence[_Ready]) -> list[list[_Ready]]:
    """Passages that follow each other with the same stack in the same key, together."""
    groups: list[list[_Ready]] = []
    for one in ready:
        before = groups[-1][-1] if groups else None
        if before is not None and _continues(before, one):
            groups[-1].append(one)
        else:
            groups.append([one])
    return groups


def _continues(before: _Ready, after: _Ready) -> bool:
    one, other = before.placed.passage, after.placed.passage
    return (
        one.layout.stack.text == other.layout.stack.text
        and before.placed.stop == after.placed.start
        and before.by == after.by
        and one.octave == other.octave
    )


def leaps(passages: Sequence[PassageScore], voices: set[int]) -> list[LineLeaps]:
    """Every line that changes its octave where one passage follows another.

    Args:
        passages: in the order of the score.
        voices: ``id`` of every reading of the tune.
    """
    found = []
    for before, after in pairwise(passages):
        if before.stop != after.start:
            continue
        now = _only_lines(after, voices)
        for key, old in _only_lines(before, voices).items():
            line = now.get(key)
            if line is not None and line.octave != old.octave and line.soundings:
                bar = after.start[0]
                found.append(LineLeaps(line.section, bar, old.octave, line.octave))
    return found


def _only_lines(passage: PassageScore, voices: set[int]) -> dict[str, Line]:
    """By section, the line of each section with one line of the tune."""
    by_section: dict[str, list[Line]] = {}
    for line in passage.scored.lines:
        if id(line.voice) in voices and not line.taken_from:
            by_section.setdefault(line.section.key, []).append(line)
    return {section: lines[0] for section, lines in by_section.items() if len(lines) == 1}
