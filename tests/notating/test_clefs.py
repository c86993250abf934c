"""Clefs: leger lines by hand, changes by common practice, laws over made-up lines."""

from itertools import pairwise, product, repeat

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rewriter.notating.clef_places import Reading
from rewriter.notating.clefs import leger_lines, plan_clefs
from rewriter.sketch.model import Sounding
from rewriter.theory.time import Moment, Timeline
from tests.placing.ground import midi, read, reading, section, strings

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
    changes = plan_clefs(section(key), read(text), octave)
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
        "treble to bass, over what either can show",
        "C5w | C5w | D4w | C4w | C3w | C3w",
        [(1, 1, "treble"), (3, 1, "bass")],
    ),
    (
        "treble to tenor to bass",
        "C5w | C5w | F4w | F4w | F4w | C3w | C3w | C3w",
        [(1, 1, "treble"), (3, 1, "tenor"), (6, 1, "bass")],
    ),
    (
        "between the figures the clef stays",
        "G4w | G4w | B3w | C4w | D4w | A3w | E4w",
        [(1, 1, "tenor")],
    ),
    ("a high bar is no reason", "C3w | C3w | G4w | C3w | C3w", [(1, 1, "bass")]),
    (
        "a bar that could not be read is",
        "C3w | C3w | E5h F5h | C3w | C3w | C3w",
        [(1, 1, "bass"), (3, 1, "treble"), (4, 1, "bass")],
    ),
    ("but never a single note", "C3w | C3w | E5w | C3w | C3w | C3w", [(1, 1, "bass")]),
    (
        "nor for one among others that read well as it is",
        "C4q A4h G4q | F4h. G4q | rw | rh. C4q | C5w | B4q A4q rh | rw | rh. C4q | A4w",
        [(1, 1, "tenor")],
    ),
    ("not even between rests", "C3w | rw | rw | E5w | rw | rw | C3w", [(1, 1, "bass")]),
    (
        "never inside a slur",
        "C3w | C3w | (C3q C4h E4q | A4w | A4w) | G4w | G4w",
        [(1, 1, "bass"), (3, 1, "tenor")],
    ),
    (
        "after a slur in mid-bar",
        "C3w | C3w | (E3q G2q) G4h | A4w | G4w",
        [(1, 1, "bass"), (3, 3, "tenor")],
    ),
    (
        "after a rest in mid-bar",
        "C3w | C3w | E3q rq G4h | A4w | G4w",
        [(1, 1, "bass"), (3, 3, "tenor")],
    ),
    (
        "loose notes that read well in either have the barline",
        "C3w | C3w | E3q G4q A4h | A4w | G4w | G4w",
        [(1, 1, "bass"), (3, 1, "tenor")],
    ),
    (
        "before the first note that needs it, an upbeat included",
        "C3w | G2h. G4q | A4w | G4w | G4w",
        [(1, 1, "bass"), (2, 4, "tenor")],
    ),
    (
        "an upbeat that either could show, after a rest",
        "C3w | C3h rq D4q | A4w | G4w | G4w",
        [(1, 1, "bass"), (2, 4, "tenor")],
    ),
    (
        "in a slur that no clef shows, at its barline",
        "C3w | (C2h C3h | E5h C6h) | A5w | G5w",
        [(1, 1, "bass"), (3, 1, "treble")],
    ),
    (
        "in one that has none, behind its widest rest",
        "C2w | (C2q D2e re rq C6q) | A5w | G5w",
        [(1, 1, "bass"), (2, 4, "treble")],
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
    ("only grace notes", "`C3e `D3e rw", [(1, 1, "bass")]),
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
        ("C4h C4h", ["bass"]),
        # Written D5, five.
        ("D4h D4h", ["bass", "tenor", "bass"]),
    ],
)
def test_basses_that_change_clef_are_measured_as_written(high_bar, expected):
    tenor = msgspec.structs.replace(CLEFS["tenor"], above=midi("B3"), back_below=midi("A2"))
    basses = section("Db")
    basses = msgspec.structs.replace(basses, clefs=(*basses.clefs, tenor))
    changes = plan_clefs(basses, read(f"E2w | E2w | {high_bar} | E2w | E2w | E2w"), 0)
    assert [change.clef.clef for change in changes] == expected


def test_a_low_line_has_no_places_asked_for(monkeypatch):
    def refuse(*_):
        raise AssertionError("places were looked for")

    monkeypatch.setattr(Reading, "places_in", refuse)
    for low in ("C3w | E4w | C2w", "C3w | E4q D4q C3h | C2w"):
        assert clefs_of("Vc", low) == [(1, 1, "bass")]


def test_how_long_is_long_enough_stands_in_the_ensemble():
    cellos = msgspec.structs.replace(section("Vc"), clef_stays_notes=1)
    single = read("C3w | C3w | E5w | C3w | C3w | C3w")
    assert [change.bar for change in plan_clefs(cellos, single, 0)] == [0, 2, 3]
    patient = msgspec.structs.replace(section("Vc"), clef_stays_bars=6)
    high = read("C3w | C3w | G4w | F4w | A4w | C3w | C3w")
    assert len(plan_clefs(patient, high, 0)) == 1


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


def _read_in(notes, changes):
    """The clef each note is read in."""
    return [
        [change.clef for change in changes if change.note <= at][-1] for at in range(len(notes))
    ]


def _pitches(notes):
    return [[(note.midi, note.length)] for note in notes]


@given(lines(), st.sampled_from(["Vla", "Vc", "Db"]))
@settings(deadline=None, derandomize=True, max_examples=200)
def test_changes_stand_where_they_may_and_differ(line, key):
    notes, timeline = line
    changes = plan_clefs(section(key), reading(notes, timeline), {"Db": -2}.get(key, 0))
    assert (changes[0].note, changes[0].bar, changes[0].onset) == (0, 0, 0)
    for change in changes[1:]:
        before, after = notes[change.note - 1], notes[change.note]
        assert timeline.time(Moment(change.bar, change.onset)) == after.start >= before.end
        if before.group == after.group >= 0:
            pitches = [note.midi for note in notes if note.group == after.group]
            assert all(
                max(abs(leger_lines(pitch, clef)) for pitch in pitches) > 5
                for clef in section(key).clefs
            )
            assert change.onset == 0 or after.start > before.end
    assert all(one.clef != other.clef for one, other in pairwise(changes))


@given(lines(), st.sampled_from(["Vla", "Vc"]))
@settings(deadline=None, derandomize=True, max_examples=200)
def test_no_clef_comes_for_a_single_note(line, key):
    notes, timeline = line
    changes = plan_clefs(section(key), reading(notes, timeline), 0)
    begins = [change.note for change in changes[1:]]
    assert all(end - begin > 1 for begin, end in pairwise([*begins, len(notes)]))


@given(lines(), st.sampled_from(["Vla", "Vc"]))
@settings(deadline=None, derandomize=True, max_examples=200)
def test_a_clef_stays_two_bars_unless_the_music_could_not_be_read(line, key):
    notes, timeline = line
    changes = plan_clefs(section(key), reading(notes, timeline), 0)
    for before, one, after in zip(changes, changes[1:], changes[2:], strict=False):
        if after.bar - one.bar < section(key).clef_stays_bars:
            inside = [note.midi for note in notes[one.note : after.note]]
            assert all(
                max(abs(leger_lines(midi, clef)) for midi in inside) > 4
                for clef in (before.clef, after.clef)
            )


@given(lines(), st.sampled_from(["Vla", "Vc"]))
@settings(deadline=None, derandomize=True, max_examples=200)
def test_changing_clefs_never_costs_more_leger_lines_than_it_saves(line, key):
    notes, timeline = line
    who = section(key)
    read_in = _read_in(notes, plan_clefs(who, reading(notes, timeline), 0))
    ours = sum(map(_lines_needed, repeat(who), _pitches(notes), read_in))
    home = sum(_lines_needed(who, pitches, who.clefs[0]) for pitches in _pitches(notes))
    # A clef stays on while a line dips for a moment: a quarter of a line a note at most.
    assert ours <= home + sum(note.length for note in notes) / 4


SLACK = 2
"""Leger lines a note the figures may cost: up to E4 a cello stays in bass clef, two lines."""

CHANGE_COSTS = 16
"""As much as one leger line under four quarters, in divisions."""


def _cost(who, notes, clefs):
    needed = sum(map(_lines_needed, repeat(who), _pitches(notes), clefs))
    return needed + CHANGE_COSTS * sum(one != other for one, other in pairwise(clefs))


@given(lines(), st.sampled_from(["Vla", "Vc"]))
@settings(deadline=None, derandomize=True, max_examples=60)
def test_reading_is_nearly_as_easy_as_the_best_clefs_of_all(line, key):
    """Against brute force over every choice of clefs for the first notes."""
    notes, timeline = line
    notes = notes[:7]
    who = section(key)
    ours = _cost(who, notes, _read_in(notes, plan_clefs(who, reading(notes, timeline), 0)))
    best = min(_cost(who, notes, clefs) for clefs in product(who.clefs, repeat=len(notes)))
    assert ours <= best + SLACK * sum(note.length for note in notes)
