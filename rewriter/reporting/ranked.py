"""From layouts as they were ranked to what is said of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.checking.rules.long_at_the_top import RULE as LONG_AT_THE_TOP
from rewriter.placing.fitness import never_carries
from rewriter.reporting.columns import count
from rewriter.reporting.rank import LeftOut, RankedGroup, RankedLayout
from rewriter.reporting.results import StackLine
from rewriter.reporting.table import percent
from rewriter.texts import one_row
from rewriter.theory.fifths import key_after, key_name

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.problems import Finding
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.sketch.frame import FrameBar
    from rewriter.studying.ranking import NotRanked, Ranked

MOST_IN_ONE_OCTAVE = 0.75
"""Share of the players above which an octave of three or more outweighs the others (common
practice, no source)."""
_THREE_LEVELS = 3
HALF = 0.5
"""Where more of the time is full, fewer of the players that can carry a tune speak against a
layout (common practice, no source)."""
WEAK = 0.5
"""A level that suits the tune less speaks against a layout (common practice, no source)."""


def by_levels(ranked: Sequence[Ranked]) -> list[list[Ranked]]:
    """The layouts of as many levels together, few levels first, the best layout first."""
    groups: dict[int, list[Ranked]] = {}
    for one in sorted(ranked, key=lambda one: one.order):
        groups.setdefault(len(one.layout.stack.levels), []).append(one)
    return [groups[levels] for levels in sorted(groups)]


def group_said(
    group: Sequence[Ranked], bar: FrameBar, ensemble: Ensemble, findings: Sequence[Finding]
) -> RankedGroup:
    """What is said of layouts of as many levels.

    Args:
        group: the best first.
        bar: whose key the tune begins in.
        ensemble: who there is to play.
        findings: in the score that the first makes.
    """
    able = [section.players for section in ensemble.sections if not never_carries(section)]
    layouts = [_layout(rank, one, bar, sum(able)) for rank, one in enumerate(group, 1)]
    levels = len(group[0].layout.stack.levels)
    return RankedGroup(levels=levels, layouts=layouts, findings=list(findings))


def left_out_said(one: NotRanked) -> LeftOut:
    """What is said of a layout that cannot be ranked."""
    by = one.by.text if one.by else ""
    return LeftOut(layout=one.layout, by=by, why=one_row(one.why))


def _layout(rank: int, one: Ranked, bar: FrameBar, tutti: float) -> RankedLayout:
    best, weakest = one.best, one.best.weakest
    figures = [level.fitness for level in best.levels]
    return RankedLayout(
        rank=rank,
        layout=one.layout.name,
        stack=one.layout.stack.written(best.top),
        key=key_name(key_after(bar.fifths, one.by), bar.mode),
        by=one.by.text,
        octave=best.top,
        weakest=weakest.text,
        weakest_sings=weakest.fitness,
        mean_sings=sum(figures) / len(figures),
        players=sum(one.players),
        balance=one.balance,
        out_of_range=sum(best.out_of_range),
        beyond_extreme=sum(best.out_of_reach),
        outside_condition=best.criteria.breach,
        bars_at_the_top=max(one.at_the_top),
        lines=[
            StackLine(
                section=line.member.section,
                share=line.member.share.text,
                octave=line.octave,
                sings=line.fitness,
            )
            for line in best.lines
        ],
        against=list(_against(one, tutti)),
    )


def _against(one: Ranked, tutti: float) -> Iterator[str]:
    """What speaks against a layout, the gravest first."""
    best = one.best
    if reach := sum(best.out_of_reach):
        yield f"{count(reach, 'note')} beyond the extreme"
    if outside := sum(best.out_of_range) - reach:
        yield f"{count(outside, 'note')} out of range"
    if best.criteria.breach:
        yield f"{best.criteria.breach:g} of its lines outside its condition"
    if (weakest := best.weakest).fitness < WEAK:
        yield f"{weakest.text} only {weakest.fitness:.2f}"
    bars = max(one.at_the_top)
    if bars > LONG_AT_THE_TOP.parameters.most:
        who = best.lines[one.at_the_top.index(bars)].member.text
        yield f"{who} {bars} bars in the highest register"
    levels = len(one.layout.stack.levels)
    if levels >= _THREE_LEVELS and one.balance > MOST_IN_ONE_OCTAVE:
        yield f"{percent(one.balance)} of the players in one octave"
    players = sum(one.players)
    if one.full > HALF and players < HALF * tutti:
        yield f"{players:g} of {tutti:g} players for full music"
