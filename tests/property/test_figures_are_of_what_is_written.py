"""The report's fitness, compass and registers are those of the notes that stand in the score.

Worked out here from what our reference reader hears in the written score and from the
ensemble's file as TOML; nothing of the package's own arithmetic is used. The tunes have no
dynamics, so the music is plain; figures by strength are asked in tests/placing.
"""

import tomllib
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rewriter.reporting.results import LineResult
from tests.outside.reference import Heard, heard_by_reference
from tests.property.expanding import LAYOUTS, SECTIONS
from tests.property.expanding import expand as expand_layout
from tests.property.planning import Model, expand, heard_by_section
from tests.property.plans import Plan, plans
from tests.property.strategies import Sketch, sketches

FILE = Path(__file__).parents[2] / "rules" / "ensembles" / "symphonic.toml"
FIGURES = {
    section["name"]: section
    for section in tomllib.loads(FILE.read_text(encoding="utf-8"))["section"]
}
STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
LEFT_OUT = frozenset({"grace notes", "dynamics", "directions in long notes"})
POLICIES = st.sampled_from(["keep", "octave", "rest"])


def midi(name: str) -> int:
    """Of a note name in the file, which has sharps and flats before the octave."""
    sign = name[1:-1].count("#") - name[1:-1].count("b")
    return 12 * (int(name[-1]) + 1) + STEPS[name[0]] + sign


def expected(notes: Sequence[Heard], section: str, levels: int) -> tuple[float, dict[str, Any]]:
    """Mean fitness by length, and share of the time in each register."""
    figures = FIGURES[section]
    low, high, extreme = (midi(figures[name]) for name in ("low", "high", "extreme"))
    lowest = midi(figures.get("lowest", figures["strings"][0]))
    total, shares = Fraction(0), dict[str, Fraction]()
    for note in notes:
        if note.midi > high:
            name, fit = "above the range", -10 if note.midi > extreme else -1
        elif note.midi < low:
            name, fit = "below the range", -10 if note.midi < lowest else -1
        else:
            register = [one for one in figures["registers"] if midi(one["from"]) <= note.midi][
                -1
            ]
            name, fit = register["name"], register["sings"]
            if levels >= 4:
                fit = register.get("sings_in_four_levels", fit)
            fit = fit["plain"] if isinstance(fit, dict) else fit
        total += Fraction(str(fit)) * note.length
        shares[name] = shares.get(name, Fraction(0)) + note.length
    time = sum((note.length for note in notes), Fraction(0))
    return float(total / time), {name: float(share / time) for name, share in shares.items()}


def compare(line: LineResult, notes: Sequence[Heard], levels: int) -> None:
    if not notes:
        assert (line.notes, line.lowest, line.highest) == (0, None, None)
        return
    fitness, shares = expected(notes, line.section, levels)
    assert line.sings == pytest.approx(fitness, abs=1e-8)
    assert {one.register: one.time for one in line.registers} == pytest.approx(shares)
    pitches = [note.midi for note in notes]
    assert line.lowest is not None
    assert line.highest is not None
    assert (line.lowest.midi, line.highest.midi) == (min(pitches), max(pitches))


def levels_in(stack: str) -> int:
    return sum(bool(level.strip()) for level in stack.split("/"))


@given(sketches(without=LEFT_OUT), st.sampled_from(LAYOUTS), POLICIES)
def test_of_a_layout(sketch: Sketch, layout: str, policy: str) -> None:
    expansion = expand_layout(sketch, layout, out_of_range=policy)
    heard = dict(zip(SECTIONS, heard_by_reference(expansion.score), strict=True))
    for line in expansion.report.lines:
        compare(line, heard[line.section], levels_in(layout))


# Without ties every note belongs to the passage it begins in.
PLANS = plans(sketches(without=LEFT_OUT | {"ties"}))


@given(PLANS, POLICIES)
def test_of_a_plan(plan: Plan, policy: str) -> None:
    """Handed over, dealt out, moved, silenced or begun late: what counts is what is there."""
    expansion = expand(plan, out_of_range=policy)
    model = Model(plan, expansion)
    heard = heard_by_section(expansion.score)
    for place, passage in enumerate(model.passages):
        stack = expansion.report.passages[place].stack
        lines = [line for line in expansion.report.lines if line.passage == place]
        for section in SECTIONS:
            mine = [line for line in lines if line.section == section]
            notes = list(model.within(passage, heard[section]).elements())
            if len(mine) == 1:
                levels = levels_in(stack) if mine[0].is_tune else 1
                compare(mine[0], notes, levels)
            elif mine:
                ends = [end.midi for one in mine for end in (one.lowest, one.highest) if end]
                pitches = {note.midi for note in notes}
                assert (
                    (min(ends), max(ends)) == (min(pitches), max(pitches))
                    if ends
                    else not notes
                )
