"""Where violins read an octave down under 8va."""

from itertools import pairwise

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rewriter.notating.clefs import leger_lines
from rewriter.notating.ottava import plan_ottava
from rewriter.sketch.model import Sounding
from rewriter.theory.time import Timeline
from tests.placing.ground import read, reading, section


def signs(text, octave=0, key="Vn I"):
    return plan_ottava(section(key), read(text), octave)


@pytest.mark.parametrize(
    ("what", "text", "expected"),
    [
        ("B6 needs five lines, C#7 no more", "A5w | B6q C7q C#7q B6q | A5w", []),
        ("D7 needs six", "A5w | D7q E7q D7q E7q | A5w", [(1, 4)]),
        ("never for three notes", "A5w | D7h E7q D7q | A5w", []),
        ("nor for three over three bars", "A5w | D7w | E7w | F7w | A5w", []),
        ("never for less than a bar", "D7q E7q D7e E7e A5q", []),
        ("unless it is five notes under a slur", "(D7e E7e F7e E7e D7e) A5e A5q", [(0, 4)]),
        ("four are too few", "(D7e E7e F7e E7e) A5h", []),
        ("the whole slur", "A5w | (B5q D6q D7h | B6w) | A5w", [(1, 4)]),
        ("what is high beside it, to be long enough", "A5h G6q A6q | D7q E7q A5h", [(1, 4)]),
        ("what is high beside it, up to the barline", "G6q D7q E7q D7q | D7h A6h", [(0, 5)]),
        ("and no further", "A6w | D7w | D7h D7h | D7h A6q A5q | A6w", [(1, 5)]),
        ("not what is low", "A5h A5q A6q | D7q E7q A5h", []),
        (
            "only the high notes of a slur that reaches low",
            "(A4q E6q D7q E7q | B6h A5h)",
            [(1, 4)],
        ),
        ("joined over a bar that reads well down", "D7w | D6h D6h | E7w", [(0, 3)]),
        ("not over two bars", "D7w | D6w | D6w | E7w", []),
        ("not over a low bar", "D7q E7q D7q E7q | A4w | E7q D7q E7q D7q", [(0, 3), (5, 8)]),
        ("neighbours are one sign", "D7w | E7w | (D7h E7h)", [(0, 3)]),
        ("nothing to play", "rw", []),
    ],
)
def test_where_8va_stands(what, text, expected):
    """At least a bar, or five notes under a slur; all figures: common practice, no source."""
    assert signs(text) == expected, what


@pytest.mark.parametrize(("bars", "expected"), [(3, []), (4, [(0, 0)])])
def test_a_tied_note_is_written_in_each_of_its_bars(bars, expected):
    notes = [Sounding(0, 0, 16 * bars, 98, -1, 0)]
    assert plan_ottava(section("Vn I"), reading(notes, Timeline([16] * bars)), 0) == expected


def test_the_octave_of_the_line_counts():
    assert signs("D5w | D6q E6q F6q E6q", 1) == [(1, 4)]
    assert signs("D5w | D6q E6q F6q E6q", 0) == []


def test_other_sections_have_none():
    assert signs("D7q D7q E7q D7q", key="Vla") == []


def test_how_long_is_long_enough_stands_in_the_ensemble():
    who = msgspec.structs.replace(section("Vn I"), ottava_stays_notes=2, ottava_stays_bars=0)
    assert plan_ottava(who, read("A5h D7q E7q"), 0) == [(1, 2)]
    who = msgspec.structs.replace(section("Vn I"), ottava_slur_notes=3)
    assert plan_ottava(who, read("(D7q E7q F7q) A5q"), 0) == [(0, 2)]


@st.composite
def high_lines(draw):
    bars = draw(st.integers(1, 8))
    pitches = st.integers(69, 103)
    length = draw(st.sampled_from([2, 4, 8]))
    notes, group = [], -1
    for bar in range(bars):
        for onset in range(0, 16, length):
            owner = group if draw(st.booleans()) and group >= 0 else -1
            sounding = Sounding(bar, 16 * bar + onset, length, draw(pitches), owner, len(notes))
            notes.append(sounding)
            group = group + 1 if owner < 0 else group
    return notes, Timeline([16] * bars)


@given(high_lines())
@settings(deadline=None, derandomize=True, max_examples=300)
def test_under_8va_is_what_is_long_enough_and_needs_it_and_nothing_low(line):
    notes, timeline = line
    clef = section("Vn I").clefs[0]
    found = plan_ottava(section("Vn I"), reading(notes, timeline), 0)
    for first, last in found:
        under = notes[first : last + 1]
        assert max(leger_lines(note.midi, clef) for note in under) > 5
        assert all(leger_lines(note.midi - 12, clef) >= -1 for note in under)
        assert len(under) > 3
        slurred = {note.group for note in under}
        of_a_slur = len(slurred) == 1 and min(slurred) >= 0 and len(under) >= 5
        assert of_a_slur or under[-1].end - under[0].start >= 16
    assert all(one[1] < other[0] for one, other in pairwise(found))


@given(high_lines())
@settings(deadline=None, derandomize=True, max_examples=300)
def test_a_bar_or_more_of_notes_that_need_8va_has_it(line):
    notes, timeline = line
    clef = section("Vn I").clefs[0]
    found = plan_ottava(section("Vn I"), reading(notes, timeline), 0)
    covered = {at for first, last in found for at in range(first, last + 1)}
    run: list[int] = []
    for at, note in enumerate(notes):
        run = [*run, at] if leger_lines(note.midi, clef) > 5 else []
        if len(run) >= 4 and note.end - notes[run[0]].start >= 16:
            assert covered.issuperset(run)
