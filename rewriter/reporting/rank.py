"""What there is to say of layouts ranked for a tune."""

import msgspec

from rewriter.problems import Finding
from rewriter.reporting.results import StackLine, StrengthTime
from rewriter.rulefiles.words import RegisterSet


class RankedLayout(msgspec.Struct, frozen=True, kw_only=True):
    """A layout at its best octave in one key.

    Attributes:
        rank: among layouts of as many levels, in all keys, from 1.
        layout: its name, or the stack itself.
        stack: with the octave words it was given or found.
        key: the tune begins in, such as ``Eb major``.
        by: the interval the tune is moved by, such as ``up m3``; empty for none.
        octave: of the top line, whole octaves from the tune's sounding pitch.
        weakest: who plays the level that suits the tune worst, as a stack says it.
        weakest_sings: how well the tune suits that level, the mean of its lines by players.
        mean_sings: the mean over the levels.
        players: how many play it, all lines together.
        balance: share of these that the strongest octave has, above 0, to 1.
        out_of_range: notes beyond the range in all lines, those beyond the extreme among them.
        beyond_extreme: notes beyond the extreme or below the lowest string.
        outside_condition: lines outside the layout's condition, by their time, to tenths.
        bars_at_the_top: the longest a line stays in its highest register.
        lines: of the stack, top down, before anything is handed over or moved.
        against: what speaks against it, one short phrase each.
    """

    rank: int
    layout: str
    stack: str
    key: str
    by: str
    octave: int
    weakest: str
    weakest_sings: float
    mean_sings: float
    players: float
    balance: float
    out_of_range: int
    beyond_extreme: int
    outside_condition: float
    bars_at_the_top: int
    lines: list[StackLine]
    against: list[str]


class RankedGroup(msgspec.Struct, frozen=True, kw_only=True):
    """Layouts of as many levels.

    Attributes:
        levels: how many octaves are played, empty ones not counted.
        layouts: the best first, each in every key.
        findings: in the score that the first of them makes: it was scored in full.
    """

    levels: int
    layouts: list[RankedLayout]
    findings: list[Finding]


class LeftOut(msgspec.Struct, frozen=True, kw_only=True):
    """A layout that cannot be ranked.

    Attributes:
        layout: its name.
        by: in which key alone, as an interval; empty for every key.
        why: what is in the way.
    """

    layout: str
    by: str
    why: str


class Rank(msgspec.Struct, frozen=True, kw_only=True):
    """Layouts ranked for a tune.

    Attributes:
        sketch: as the user named it.
        tune: which staff is the tune, and why.
        ensemble: title of the ensemble.
        bars: printed numbers of the first and last bar that was looked at.
        key: the tune begins in there.
        strengths: how strong the music is, softest first.
        placed_by: the set of registers that stacks are placed by.
        groups: of as many levels each, few first.
        left_out: layouts that cannot be ranked.
    """

    sketch: str
    tune: str
    ensemble: str
    bars: str
    key: str
    strengths: list[StrengthTime]
    placed_by: RegisterSet
    groups: list[RankedGroup]
    left_out: list[LeftOut]
