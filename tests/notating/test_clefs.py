"""Clefs: leger lines by hand, changes by common practice, laws over made-up lines."""

from itertools import pairwise, product, repeat

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rewriter.notating.clefs import grouped, leger_lines, plan_clefs
from rewriter.sketch.model import Sounding
from rewriter.theory.time import Moment, Timeline
from tests.placing.ground import midi, section, strings, tune

CLEFS = {
    clef.clef: clef for who in strings().sections for clef in who.clefs
}  # treble, alto, tenor, bass


@pytest.mark.parametrize(
    ("clef", "pitch", "lines"),
    [
        ("treble", "E4", 0),
        ("treble", "F5", 0),
        ("treble", "G5", 0),
        ("treble", "A5", 1),
        ("treble", "C6", 2),
        ("treble", "E6", 3),
        ("treble", "G6", 4),
        ("treble", "B6", 5),
        ("treble", "C7", 5),
        ("treble", "C#7", 5),
        ("treble", "D7", 6),
        ("treble", "D4", 0),
        ("treble", "C4", -1),
        ("treble", "G3", -2),
        ("alto", "F3", 0),
        ("alto", "C3", -1),
        ("alto", "B2", -2),
        ("alto", "G4", 0),
        ("alto", "B4", 1),
        ("alto", "C5", 1),
        ("tenor", "F4", 0),
        ("tenor", "G4", 1),
        ("tenor", "B2", -1),
        ("tenor", "C2", -4),
        ("bass", "B3", 0),
        ("bass", "C4", 1),
        ("bass", "E4", 2),
        ("bass", "B4", 4),
        ("bass", "C2", -2),
    ],
)
def test_leger_lines_counted_by_hand(clef, pitch, lines):
    assert leger_lines(midi(pitch), CLEFS[clef]) == lines


def clefs_of(key, text, octave=0):
    notes, timeline = tune(text)
    changes = plan_clefs(section(key), grouped(notes, timeline), octave)
    return [(change.bar + 1, change.onset / 4 + 1, change.clef.clef) for change in changes]


CELLO = [
    ("stays at home", "C3w | C4w | E4w | C3w", [(1, 1, "bass")]),
    (
        "tenor when running high, and back",
        "C3w | C3w | G4w | F4w | A4w | C3w | C3w",
        [(1, 1, "bass"), (3, 1, "tenor"), (6, 1, "bass")],
    ),
    (
        "treble for the highest, straight from bass",
        "C3w | C3w | C5w | D5w | E5w | C5w",
        [(1, 1, "bass"), (3, 1, "treble")],
    ),
    (
        "treble to tenor to bass",
        "C5w | C5w | D4w | C4w | C3w | C3w",
        [(1, 1, "treble"), (3, 1, "tenor"), (5, 1, "bass")],
    ),
    (
        "between the figures the clef stays",
        "G4w | G4w | B3w | C4w | D4w | A3w | E4w",
        [(1, 1, "tenor")],
    ),
    ("a high bar is no reason", "C3w | C3w | G4w | C3w | C3w", [(1, 1, "bass")]),
    (
        "a bar that could not be read is",
        "C3w | C3w | E5w | C3w | C3w | C3w",
        [(1, 1, "bass"), (3, 1, "treble"), (5, 1, "bass")],
    ),
    (
        "never inside a slur",
        "C3w | C3w | (C3q C4h E4q | A4w | A4w) | G4w | G4w",
        [(1, 1, "bass"), (3, 1, "tenor")],
    ),
    (
        "after a slur in mid-bar",
        "C3w | C3w | (E3q C3q) G4h | A4w | G4w",
        [(1, 1, "bass"), (3, 3, "tenor")],
    ),
    (
        "after a rest in mid-bar",
        "C3w | C3w | E3q rq G4h | A4w | G4w",
        [(1, 1, "bass"), (3, 3, "tenor")],
    ),
    (
        "loose notes wait for the barline",
        "C3w | C3w | E3q G4q A4h | A4w | G4w | G4w",
        [(1, 1, "bass"), (3, 1, "tenor")],
    ),
    (
        "the clef that begins suits what it opens with",
        "rw | rq G4h. | A4w | G4w",
        [(1, 1, "tenor")],
    ),
    (
        "a short opening takes the clef of what follows",
        "D4w | G4w | A4w | G4w | A4w",
        [(1, 1, "tenor")],
    ),
    (
        "a low opening keeps its own clef",
        "C3w | G4w | A4w | G4w | A4w",
        [(1, 1, "bass"), (2, 1, "tenor")],
    ),
    ("nothing to play", "rw | rw", [(1, 1, "bass")]),
    ("only grace notes", "`C5e `D5e rw", [(1, 1, "treble")]),
]


@pytest.mark.parametrize(("what", "text", "expected"), CELLO)
def test_cellos(what, text, expected):
    """Figures: common practice, no source; clefs of the cello: Johnstone (1917), p. 12."""
    assert clefs_of("Vc", text) == expected, what


@pytest.mark.parametrize(
    ("text", "octave", "expected"),
    [
        ("C4w | G4w | C5w | G4w", 0, [(1, 1, "alto")]),
        ("G4w | G4w | D5w | E5w | G4w | B4w", 0, [(1, 1, "alto"), (3, 1, "treble")]),
        (
            "G4w | G4w | (D5h C5q E5q) | E5w | E4w | E4w",
            0,
            [(1, 1, "alto"), (3, 1, "treble"), (5, 1, "alto")],
        ),
        ("G3w | G3w | D4w | E4w | G3w", 1, [(1, 1, "alto"), (3, 1, "treble")]),
    ],
)
def test_violas(text, octave, expected):
    """Treble by phrase from about C5 upward: Johnstone (1917), p. 10; figures: common practice,
    no source."""
    assert clefs_of("Vla", text, octave) == expected


def test_violins_read_treble_however_high():
    assert clefs_of("Vn I", "G3w | E7w | G3w", 0) == [(1, 1, "treble")]


def test_basses_stay_in_bass_clef():
    assert clefs_of("Db", "E2w | E2w | F3w | G3w | F3w") == [(1, 1, "bass")]


@pytest.mark.parametrize(
    ("high_bar", "expected"),
    [
        # Written C5, four leger lines above the bass staff: a high bar is no reason.
        ("C4w", ["bass"]),
        # Written D5, five.
        ("D4w", ["bass", "tenor", "bass"]),
    ],
)
def test_basses_that_change_clef_are_measured_as_written(high_bar, expected):
    tenor = msgspec.structs.replace(CLEFS["tenor"], above=midi("B3"), back_below=midi("A2"))
    basses = section("Db")
    basses = msgspec.structs.replace(basses, clefs=(*basses.clefs, tenor))
    notes, timeline = tune(f"E2w | E2w | {high_bar} | E2w | E2w | E2w")
    changes = plan_clefs(basses, grouped(notes, timeline), 0)
    assert [change.clef.clef for change in changes] == expected


def test_a_low_line_looks_at_no_group():
    class Untouchable(tuple):
        def __iter__(self):
            raise AssertionError("the notes were looked at")

    notes, timeline = tune("C3w | E4w | C2w")
    groups = [group._replace(pitches=Untouchable()) for group in grouped(notes, timeline)]
    assert [change.clef.clef for change in plan_clefs(section("Vc"), groups, 0)] == ["bass"]


def test_groups_are_slurs_with_their_lead_and_bars_of_loose_notes():
    notes, timeline = tune("C4q (D4q E4q | F4q) G4q rq A4q | `B4e (C5h) `D5e C5h")
    groups = [
        (group.first, group.last, group.bar, group.onset) for group in grouped(notes, timeline)
    ]
    assert groups == [
        (0, 3, 0, 0),
        (4, 4, 1, 4),
        (5, 5, 1, 12),
        (6, 7, 2, 0),
        (8, 9, 2, 8),
    ]


@st.composite
def lines(draw):
    """Lines that move mostly by step, as tunes do, in slurs and loose notes, with rests."""
    bars = draw(st.integers(1, 12))
    notes, group = [], 0
    pitch, slurred = draw(st.integers(48, 76)), False
    for bar in range(bars):
        for onset in range(0, 16, 4):
            pitch = min(84, max(40, pitch + draw(st.sampled_from([-12, -2, -1, 1, 2, 4, 12]))))
            turn = draw(st.integers(0, 5))
            if not turn:
                slurred = False
                group += 1
                continue
            owner = group if slurred else -1
            notes.append(Sounding(bar, 16 * bar + onset, 4, pitch, owner, len(notes)))
            if turn == 1:
                slurred, group = not slurred, group + 1
    return notes, Timeline([16] * bars)


def _lines_needed(who, pitches, clef):
    return sum(
        length * abs(leger_lines(pitch + 12 * who.written_octave, clef))
        for pitch, length in pitches
    )


def _readings(groups, changes):
    """The clef each group is read in."""
    return [
        [change.clef for change in changes if change.note <= group.first][-1]
        for group in groups
    ]


@given(lines(), st.sampled_from(["Vla", "Vc", "Db"]))
@settings(deadline=None, derandomize=True, max_examples=200)
def test_changes_stand_where_they_may_and_differ(line, key):
    notes, timeline = line
    who = section(key)
    octave = {"Vla": 0, "Vc": 0, "Db": -2}[key]
    groups = grouped(notes, timeline)
    changes = plan_clefs(who, groups, octave)
    assert (changes[0].note, changes[0].bar, changes[0].onset) == (0, 0, 0)
    allowed = {group.first for group in groups}
    inside = {
        after.index
        for before, after in pairwise(notes)
        if before.group == after.group and after.group >= 0
    }
    for change in changes[1:]:
        assert change.note in allowed
        assert change.note not in inside
        assert timeline.time(Moment(change.bar, change.onset)) == notes[change.note].start
    assert all(one.clef != other.clef for one, other in pairwise(changes))


@given(lines(), st.sampled_from(["Vla", "Vc"]))
@settings(deadline=None, derandomize=True, max_examples=200)
def test_a_clef_stays_two_bars_unless_the_music_could_not_be_read(line, key):
    notes, timeline = line
    who = section(key)
    groups = grouped(notes, timeline)
    changes = plan_clefs(who, groups, 0)
    for one, other in pairwise(changes[1:]):
        if other.bar - one.bar < who.clef_stays_bars:
            group = next(group for group in groups if group.first == other.note)
            assert max(abs(leger_lines(pitch, one.clef)) for pitch, _ in group.pitches) > 4


@given(lines(), st.sampled_from(["Vla", "Vc"]))
@settings(deadline=None, derandomize=True, max_examples=200)
def test_changing_clefs_never_costs_more_leger_lines_than_it_saves(line, key):
    notes, timeline = line
    who = section(key)
    groups = grouped(notes, timeline)
    read_in = _readings(groups, plan_clefs(who, groups, 0))
    ours = sum(map(_lines_needed, repeat(who), (group.pitches for group in groups), read_in))
    home = sum(_lines_needed(who, group.pitches, who.clefs[0]) for group in groups)
    # A clef stays on while a line dips for a moment: a quarter of a line a note at most.
    assert ours <= home + sum(note.length for note in notes) / 4


SLACK = 2
"""Leger lines a note the figures may cost: up to E4 a cello stays in bass clef, two lines."""

CHANGE_COSTS = 16
"""As much as one leger line under four quarters, in divisions."""


def _cost(who, groups, clefs):
    read = sum(map(_lines_needed, repeat(who), (group.pitches for group in groups), clefs))
    return read + CHANGE_COSTS * sum(one != other for one, other in pairwise(clefs))


@given(lines(), st.sampled_from(["Vla", "Vc"]))
@settings(deadline=None, derandomize=True, max_examples=60)
def test_reading_is_nearly_as_easy_as_the_best_clefs_of_all(line, key):
    """Against brute force over every choice of clefs for the first groups."""
    notes, timeline = line
    who = section(key)
    groups = grouped(notes, timeline)[:6]
    if not groups:
        return
    ours = _cost(who, groups, _readings(groups, plan_clefs(who, groups, 0)))
    best = min(_cost(who, groups, clefs) for clefs in product(who.clefs, repeat=len(groups)))
    length = sum(length for group in groups for _, length in group.pitches)
    assert ours <= best + SLACK * length
