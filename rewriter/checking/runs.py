"""One fault is one finding: of a run of bad notes, the first is told, with how many follow."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from rewriter.problems import Finding


def joined_runs(findings: Iterable[Finding], rules: Collection[str]) -> list[Finding]:
    """Findings, those of one rule and part in bars that follow each other made one.

    Args:
        findings: in any order.
        rules: ids of the rules whose findings come in runs.

    Returns:
        In the order given; a run stands where its first in that order stood.
    """
    told = list(findings)
    of_runs = [at for at, one in enumerate(told) if one.rule in rules]
    if len(of_runs) < 2:  # noqa: PLR2004 - one finding is no run
        return told
    stands: dict[int, Finding | None] = dict.fromkeys(of_runs)
    # By time; findings at one moment keep the order in which they were met.
    ordered = sorted(of_runs, key=lambda at: (_voice(told[at]), _time(told[at])))
    for _, group in groupby(ordered, key=lambda at: _voice(told[at])):
        for run in _bars_that_follow(list(group), told):
            stands[min(run)] = _as_one([told[at] for at in run])
    rest = (stands.get(at, one) for at, one in enumerate(told))
    return [one for one in rest if one is not None]


def _voice(one: Finding) -> tuple[str, str, str]:
    return one.rule, one.place.part, one.place.section


def _time(one: Finding) -> tuple[int, float]:
    moment = one.place.moment or "0"
    if "/" in moment:  # as only what no decimal says
        from fractions import Fraction

        return one.place.bar_counted, float(Fraction(moment))
    return one.place.bar_counted, float(moment)


def _bars_that_follow(places: Sequence[int], told: Sequence[Finding]) -> list[list[int]]:
    runs: list[list[int]] = []
    before = None
    for at in places:
        bar = told[at].place.bar_counted
        if before is None or bar > before + 1:
            runs.append([])
        runs[-1].append(at)
        before = bar
    return runs


def _as_one(run: Sequence[Finding]) -> Finding:
    """The first of a run, with how many notes more, and up to where."""
    first, last = run[0], run[-1]
    if len(run) == 1:
        return first
    what, remedy, rest = first.text.partition("; ")
    number = len(run) - 1
    more = "so is one more note" if number == 1 else f"so are {number} more notes"
    until = "" if last.place.bar == first.place.bar else f" up to bar {last.place.bar}"
    return replace(first, text=f"{what}, and {more}{until}{remedy}{rest}")
