"""Every octave of every layout by an expansion of its own: the ranking, the slow way.

Only what an expansion reports and writes is looked at: the figures of its lines, and the notes
of its score as the tests' own reader hears them. The order is that of the design's page on
placing, written down once more.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import rewriter
from rewriter.problems import Refused
from rewriter.reporting.results import Report
from rewriter.rulefiles.ensembles import Ensemble
from rewriter.rulefiles.layouts import Layout
from rewriter.rulefiles.loading import load_ensemble, names, resolve_layout
from rewriter.rulefiles.stack_lines import octave_word
from tests.outside.reference import heard_by_reference, score_root

FORCES = load_ensemble("symphonic")
OCTAVES = range(-4, 6)


class Tried(NamedTuple):
    """A layout at one octave: what it is ordered by, and which it is."""

    order: tuple[float, ...]
    layout: str
    octave: int


def plain_layouts() -> list[str]:
    """The shipped layouts that play the tune alone, and hand nothing over."""
    read = {name: resolve_layout(name, FORCES) for name in names("layouts")}
    return [name for name, layout in read.items() if not layout.with_ and not layout.line]


def best_by_expanding(
    sketch: bytes, tune: str, layouts: Sequence[str], folder: Path
) -> list[Tried]:
    """Each layout at its best octave, the best layout of as many levels first."""
    best = []
    for name in layouts:
        tried = list(_tried(sketch, tune, resolve_layout(name, FORCES), folder))
        best.append(min(tried))
    return sorted(best)


def _tried(sketch: bytes, tune: str, layout: Layout, folder: Path) -> Iterator[Tried]:
    named = layout.stack.top_octave
    for octave in OCTAVES if named is None else [named]:
        plan = folder / "plan.toml"
        plan.write_text(
            '[[passage]]\nfrom = "start"\nto = "end"\n'
            f'layout = "{layout.name}"\noctave = "{octave_word(octave)}"\n'
        )
        try:
            made = rewriter.expand(sketch, plan=plan, tune=tune)
        except Refused:  # past what can be written
            continue
        yield Tried(_order(made, layout, octave), layout.name, octave)


def _order(made: rewriter.Expansion, layout: Layout, octave: int) -> tuple[float, ...]:
    pitches = _pitches(made, FORCES)
    sections = {section.key: section for section in FORCES.sections}
    beyond = [
        (midi > sections[key].extreme or midi < sections[key].lowest)
        for key, notes in pitches.items()
        for midi, _ in notes
    ]
    out = [
        not sections[key].low <= midi <= sections[key].high
        for key, notes in pitches.items()
        for midi, _ in notes
    ]
    levels = _levels(made.report)
    figures = [weighed / players for weighed, players in levels.values()]
    worst, mean = round(min(figures), 2), round(sum(figures) / len(figures), 2)
    good = worst >= 0.9
    breach = _breach(layout, made.report, pitches, heeded=worst >= 0.4)
    counts: dict[int, float] = defaultdict(float)
    for line in made.report.lines:
        counts[line.octave] += line.players
    balance = round(max(counts.values()) / sum(counts.values()), 2)
    return (
        sum(beyond), sum(out), breach, -min(worst, 0.9), abs(octave) if good else 0, -mean,
        abs(octave), -octave, balance,
    )  # fmt: skip


def _pitches(made: rewriter.Expansion, forces: Ensemble) -> dict[str, list[tuple[float, Any]]]:
    """By section what it plays: MIDI number and quarters."""
    found: dict[str, list[tuple[float, Any]]] = {}
    by_name = {section.full_name(): section.key for section in forces.sections}
    listed = score_root(made.score).findall("part-list/score-part")
    for one, notes in zip(listed, heard_by_reference(made.score), strict=True):
        key = by_name[one.findtext("part-name") or ""]
        found.setdefault(key, []).extend((note.midi, note.length) for note in notes)
    return found


def _levels(report: Report) -> dict[int, tuple[float, float]]:
    """By octave what its lines sing, by players, and how many play; basses left aside."""
    stack = report.passages[0].lines
    judged = [one for one in stack if one.section != "Db"] or list(stack)
    players = {(one.section, one.share, one.octave): one.players for one in report.lines}
    levels: dict[int, tuple[float, float]] = {}
    for one in judged:
        weighed, many = levels.get(one.octave, (0.0, 0.0))
        own = players[one.section, one.share, one.octave]
        levels[one.octave] = weighed + own * one.sings, many + own
    return levels


def _breach(
    layout: Layout, report: Report, pitches: dict[str, list[tuple[float, Any]]], *, heeded: bool
) -> float:
    """Lines outside the layout's condition, by their time, to tenths."""
    if layout.condition is None:
        return 0.0
    lines = 0.0
    for bound in layout.condition.bounds:
        low, high = bound.low or 0, bound.high or 999
        for key in bound.sections:
            many = sum(line.section == key for line in report.lines)
            if not many:
                continue
            notes = pitches[key]
            whole = sum(length for _, length in notes)
            past = sum(length for midi, length in notes if not low <= midi <= high)
            lines += many * float(past / whole) if heeded else many
    return round(lines, 1)
