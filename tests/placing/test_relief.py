"""Notes out of range moved by octaves or silenced."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rewriter.placing.facts import BroughtBack
from rewriter.placing.limits import PlayedLine, beyond
from rewriter.placing.relief import Relief, relieve, relieved
from rewriter.sketch.model import Sounding
from tests.placing.ground import player, said, section, tune

KEYS = ("Vn I", "Vla", "Vc", "Db")


@pytest.mark.parametrize(
    ("what", "text", "policy", "expected"),
    [
        ("nothing is out of range", "C4h D4h", "octave", []),
        ("a loose note", "C4q B2q C4h", "octave", [Relief(1, 1, 1)]),
        ("a run of loose notes", "C4q B2q A2q C4q", "octave", [Relief(1, 2, 1)]),
        ("the whole slur", "C4q (C4q B2q C4q) | C4w", "octave", [Relief(1, 3, 1)]),
        ("the nearest octave", "C4h D1h | C4w", "octave", [Relief(1, 1, 2)]),
        ("a slur too wide", "(B2q E6h) C4q", "octave", [Relief(0, 0, 1)]),
        ("both ends", "(B2q F6h) C4q", "octave", [Relief(0, 0, 1), Relief(1, 1, -1)]),
        ("grace notes follow", "C4q `D3e `C3e B2h C4q", "octave", [Relief(1, 3, 1)]),
        (
            "grace notes that cannot",
            "C4q `F6e B2h C4q",
            "octave",
            [Relief(1, 1, -1), Relief(2, 2, 1)],
        ),
        ("a grace note that just can", "C4q `E5e B2h C4q", "octave", [Relief(1, 2, 1)]),
        ("a grace note that just cannot", "C4q `F5e B2h C4q", "octave", [Relief(2, 2, 1)]),
        ("a slur rests", "C4q (C4q B2q C4q) | C4w", "rest", [Relief(1, 3, None)]),
        ("loose notes rest", "C4q B2q A2q C4q", "rest", [Relief(1, 2, None)]),
        ("grace notes rest along", "C4q `D3e B2h C4q", "rest", [Relief(1, 2, None)]),
        ("a grace note alone rests", "C4q `B2e C3h C4q", "rest", [Relief(1, 1, None)]),
        ("grace notes before a slur", "C4q `D3e (B2q C4q) C4q", "rest", [Relief(1, 3, None)]),
    ],
)
def test_what_is_relieved(what, text, policy, expected):
    notes, _ = tune(text)
    assert relieve(PlayedLine(player("Vla"), notes, 0), policy) == expected, what


def test_what_is_left():
    notes, _ = tune("C4q (B2q D4q) C4q | B2q C4h.")
    left = relieved(notes, [Relief(1, 2, 1), Relief(4, 4, None)])
    assert [(note.index, note.midi) for note in left] == [
        (0, 60),
        (1, 59),
        (2, 74),
        (3, 60),
        (5, 60),
    ]


@pytest.mark.parametrize(
    ("text", "policy", "line"),
    [
        (
            "C4q (C4q B2q C4q) | C4w",
            "octave",
            "Vla, bar 1, beat 2: 3 notes to bar 1, beat 4 moved an octave up: "
            "B2 is below the lowest string (C3)",
        ),
        (
            "C4h F6h",
            "octave",
            "Vla, bar 1, beat 3: moved an octave down: F6 is above the range (C3 to E6)",
        ),
        (
            "C4h D1h",
            "octave",
            "Vla, bar 1, beat 3: moved 2 octaves up: D1 is below the lowest string (C3)",
        ),
        (
            "C4h B6h",
            "rest",
            "Vla, bar 1, beat 3: silenced: B6 is above the extreme (A6)",
        ),
    ],
)
def test_what_is_said(text, policy, line):
    notes, _ = tune(text)
    facts = [
        BroughtBack(player("Vla"), notes[one.first : one.last + 1], one.shift)
        for one in relieve(PlayedLine(player("Vla"), notes, 0), policy)
    ]
    rule = "silenced" if policy == "rest" else "moved-by-octave"
    assert said(facts) == [f"warning: {line}  [{rule}]"]


@st.composite
def melodies(draw):
    lengths = draw(st.lists(st.sampled_from([0, 2, 4, 4, 8]), min_size=1, max_size=24))
    notes, now, group = [], 0, 0
    slurred = False
    for index, length in enumerate(lengths):
        pitch = draw(st.integers(24, 112))
        notes.append(Sounding(now // 16, now, length, pitch, group if slurred else -1, index))
        if draw(st.booleans()):
            slurred, group = not slurred, group + 1
        now += length
    return notes


@given(melodies(), st.sampled_from(KEYS), st.integers(-2, 2))
@settings(deadline=None, derandomize=True, max_examples=200)
def test_nothing_is_left_out_of_range_and_nothing_else_changes(notes, key, octave):
    who = section(key)
    reliefs = relieve(PlayedLine(player(key), notes, 12 * octave), "octave")
    left = relieved(notes, reliefs)
    assert [note.index for note in left] == [note.index for note in notes]
    # Every range is wider than an octave, so each note has a place in it.
    assert not any(beyond(who, note.midi + 12 * octave) for note in left)
    touched = {at for relief in reliefs for at in range(relief.first, relief.last + 1)}
    for at, (before, after) in enumerate(zip(notes, left, strict=True)):
        assert (after.midi - before.midi) % 12 == 0
        if at not in touched:
            assert after == before
    ends = [(relief.first, relief.last) for relief in reliefs]
    assert ends == sorted(ends)
    assert all(one[1] < other[0] for one, other in pairwise(ends))


@given(melodies(), st.sampled_from(KEYS), st.integers(-2, 2))
@settings(deadline=None, derandomize=True, max_examples=200)
def test_a_slur_is_silenced_whole_or_not_at_all(notes, key, octave):
    who = section(key)
    left = relieved(notes, relieve(PlayedLine(player(key), notes, 12 * octave), "rest"))
    assert not any(beyond(who, note.midi + 12 * octave) for note in left)
    kept = {note.index for note in left}
    for group in {note.group for note in notes if note.group >= 0}:
        inside = [note for note in notes if note.group == group]
        out_of_range = any(beyond(who, note.midi + 12 * octave) for note in inside)
        assert {note.index in kept for note in inside} <= (
            {False} if out_of_range else {True, False}
        )


@given(melodies(), st.sampled_from(KEYS), st.integers(-2, 2))
@settings(deadline=None, derandomize=True, max_examples=100)
def test_a_slur_that_fits_somewhere_moves_whole(notes, key, octave):
    who = section(key)
    left = relieved(notes, relieve(PlayedLine(player(key), notes, 12 * octave), "octave"))
    for group in {note.group for note in notes if note.group >= 0}:
        before = [note.midi + 12 * octave for note in notes if note.group == group]
        fits = any(
            not any(beyond(who, pitch + 12 * by) for pitch in before) for by in range(-9, 10)
        )
        moved = {
            after.midi - note.midi
            for note, after in zip(notes, left, strict=True)
            if note.group == group and note.length
        }
        if fits:
            assert len(moved) <= 1
