"""Where violins read an octave down under 8va."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rewriter.notating.clefs import grouped, leger_lines
from rewriter.notating.ottava import plan_ottava
from rewriter.sketch.model import Sounding
from rewriter.theory.time import Timeline
from tests.placing.ground import section, tune


def signs(text, octave=0, key="Vn I"):
    notes, timeline = tune(text)
    return plan_ottava(section(key), grouped(notes, timeline), octave)


@pytest.mark.parametrize(
    ("what", "text", "expected"),
    [
        ("B6 needs five lines, C#7 no more", "A5w | B6h C#7h | A5w", []),
        ("D7 needs six", "A5w | B6h D7h | A5w", [(1, 2)]),
        ("the whole slur", "A5w | (B5q D6q D7h | B6w) | A5w", [(1, 4)]),
        ("only its high notes when it reaches low", "(A4q E6q D7h | B6h A5h)", [(1, 3)]),
        ("a run that needs none has none", "(A4q E6q A4h | E6q D7q A4h)", [(3, 4)]),
        ("joined over a bar that reads well down", "D7w | D6w | E7w", [(0, 2)]),
        ("not over two bars", "D7w | D6w | D6w | E7w", [(0, 0), (3, 3)]),
        ("not over a low bar", "D7w | A4w | E7w", [(0, 0), (2, 2)]),
        ("neighbours are one sign", "D7w | E7w | (D7h E7h)", [(0, 3)]),
        ("two runs in one slur stay apart", "(D7q A4q E7h)", [(0, 0), (2, 2)]),
        ("nothing to play", "rw", []),
    ],
)
def test_where_8va_stands(what, text, expected):
    """Figure of five leger lines and joining: common practice, no source."""
    assert signs(text) == expected, what


def test_the_octave_of_the_line_counts():
    assert signs("D5w | D6w", 1) == [(1, 1)]
    assert signs("D5w | D6w", 0) == []


def test_other_sections_have_none():
    assert signs("D7w", key="Vla") == []


@st.composite
def high_lines(draw):
    bars = draw(st.integers(1, 8))
    pitches = st.integers(69, 103)
    notes, group = [], -1
    for bar in range(bars):
        for onset in range(0, 16, 8):
            owner = group if draw(st.booleans()) and group >= 0 else -1
            notes.append(Sounding(bar, 16 * bar + onset, 8, draw(pitches), owner, len(notes)))
            group = group + 1 if owner < 0 else group
    return notes, Timeline([16] * bars)


@given(high_lines())
@settings(deadline=None, derandomize=True, max_examples=200)
def test_under_8va_is_what_needs_it_and_nothing_low(line):
    notes, timeline = line
    who = section("Vn I")
    clef = who.clefs[0]
    found = plan_ottava(who, grouped(notes, timeline), 0)
    covered = {at for first, last in found for at in range(first, last + 1)}
    for at, note in enumerate(notes):
        if leger_lines(note.midi, clef) > 5:
            assert at in covered
        if at in covered:
            assert leger_lines(note.midi - 12, clef) >= -1
    assert all(one[1] < other[0] for one, other in pairwise(found))
    for first, last in found:
        assert max(leger_lines(note.midi, clef) for note in notes[first : last + 1]) > 5
