"""Fitness of single pitches and of lines, against the figures of the registers."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rewriter.placing.fitness import (
    count_pitches,
    fitness,
    line_fitness,
    never_carries,
    profile,
    profiles_of,
    register_shares,
    whole_profile,
)
from rewriter.sketch.model import Sounding, StrengthFrom
from rewriter.theory.dynamics import STRENGTHS
from tests.placing.ground import midi, section, strings, tune

KEYS = ("Vn I", "Vn II", "Vla", "Vc", "Db")

SOLO_REGISTERS = [
    # Rimsky-Korsakov, Principles of Orchestration (1922), ch. II, pp. 36-38: violins
    # soprano-alto and above, violas alto-tenor and above, cellos tenor-bass and above.
    ("Vn I", "D4", 0.75),
    ("Vn I", "A5", 0.75),
    ("Vla", "G3", 0.75),
    ("Vla", "D5", 0.75),
    ("Vc", "C3", 0.75),
    ("Vc", "A3", 0.75),
    ("Vc", "B4", 0.75),
]


@pytest.mark.parametrize(("key", "pitch", "least"), SOLO_REGISTERS)
def test_registers_where_a_section_carries_the_tune_alone(key, pitch, least):
    assert fitness(section(key), midi(pitch), 1) >= least


@pytest.mark.parametrize(
    ("key", "pitch", "levels", "expected"),
    [
        ("Vn I", "F#3", 1, -10),
        ("Vn I", "G3", 1, 0.5),
        ("Vn I", "C#4", 1, 0.5),
        ("Vn I", "D4", 1, 0.9),
        ("Vn I", "A4", 1, 1.0),
        ("Vn I", "E6", 1, 0.6),
        ("Vn I", "A6", 1, 0.2),
        ("Vn I", "E7", 1, 0.2),
        ("Vn I", "F7", 1, -1),
        ("Vn I", "B7", 1, -1),
        ("Vn I", "C8", 1, -10),
        ("Vc", "B2", 3, 0.2),
        ("Vc", "B2", 4, 0.45),
        ("Vc", "B2", 5, 0.45),
        ("Vc", "C3", 4, 1.0),
        ("Db", "G2", 3, 0.0),
        ("Db", "G#3", 3, -1),
        ("Db", "D#1", 3, -10),
    ],
)
def test_a_pitch_has_the_figure_of_its_register(key, pitch, levels, expected):
    assert fitness(section(key), midi(pitch), levels) == expected


def test_a_quarter_tone_past_the_range_is_past_it():
    assert fitness(section("Vn I"), midi("E7") + 0.5, 1) == -1
    assert fitness(section("Vn I"), midi("G3") - 0.5, 1) == -10


def test_a_line_is_weighed_by_length_and_grace_notes_weigh_nothing():
    notes, _ = tune("D4h. A4q | `G3e A4w")
    # Three quarters in the middle register, five in the soprano, a grace note in the low.
    assert line_fitness(section("Vn I"), profiles_of(notes, ()), 0, 1) == pytest.approx(
        (3 * 0.9 + 5 * 1.0) / 8
    )


def test_a_tune_of_grace_notes_is_weighed_pitch_by_pitch():
    notes, _ = tune("`D4e `A4e")
    assert line_fitness(section("Vn I"), profiles_of(notes, ()), 0, 1) == pytest.approx(0.95)
    assert register_shares(section("Vn I"), profile(notes), 0) == []


def test_a_tune_of_nothing_is_neither_good_nor_bad():
    assert line_fitness(section("Vn I"), {}, 0, 1) == 0


def test_shares_name_the_registers_and_what_lies_outside():
    notes, _ = tune("F3q G3q D4q A4q")
    assert register_shares(section("Vn I"), profile(notes), 0) == [
        ("below the range", 0.25),
        ("low", 0.25),
        ("middle", 0.25),
        ("soprano", 0.25),
    ]
    assert register_shares(section("Vn I"), profile(notes), 36) == [
        ("high", 0.5),
        ("top", 0.25),
        ("above the range", 0.25),
    ]


def test_only_basses_never_carry_a_tune():
    assert [never_carries(section(key)) for key in KEYS] == [False] * 4 + [True]


def test_counting_counts_grace_notes():
    notes, _ = tune("`G4e A4q G4q")
    assert count_pitches(notes) == {67: 2, 69: 1}
    assert profile(notes) == {67: 4, 69: 4}


notes_anywhere = st.lists(
    st.builds(
        Sounding,
        bar=st.just(0),
        start=st.integers(0, 40),
        length=st.integers(0, 16),
        midi=st.integers(20, 110) | st.integers(40, 220).map(lambda half: half / 2),
        group=st.just(-1),
        index=st.just(0),
    ),
    min_size=1,
    max_size=30,
)


changes = st.lists(st.tuples(st.integers(0, 40), st.sampled_from(STRENGTHS)), max_size=4).map(
    lambda found: [StrengthFrom(*each) for each in sorted(found, key=lambda each: each[0])]
)


@given(notes_anywhere, changes, st.sampled_from(KEYS), st.integers(-3, 3), st.integers(1, 5))
@settings(deadline=None, derandomize=True)
def test_the_histogram_gives_what_moment_by_moment_gives(notes, told, key, octave, levels):
    who = section(key)
    lengths = sum(note.length for note in notes)
    if lengths:
        expected = sum(
            _figure_by_hand(who, note.midi + 12 * octave, levels, _strength_at(told, time))
            for note in notes
            for time in range(note.start, note.end)
        )
        profiles = profiles_of(notes, told)
        found = line_fitness(who, profiles, 12 * octave, levels)
        assert found == pytest.approx(expected / lengths)
        assert whole_profile(profiles) == profile(notes)
        shares = register_shares(who, whole_profile(profiles), 12 * octave)
        assert sum(share for _, share in shares) == pytest.approx(1)


def _strength_at(told, time):
    before = [each.strength for each in told if each.time <= time]
    return before[-1] if before else "plain"


def _figure_by_hand(who, pitch, levels, strength):
    if pitch < who.lowest or pitch > who.extreme:
        return -10
    if not who.low <= pitch <= who.high:
        return -1
    register = [one for one in who.registers if one.from_midi <= pitch][-1]
    figures = register.fitness
    if levels >= 4 and register.fitness_in_four_levels is not None:
        figures = register.fitness_in_four_levels
    return getattr(figures, strength)


@pytest.mark.parametrize(
    ("key", "pitch", "soft", "plain", "full"),
    [
        ("Vn I", "G3", 0.75, 0.5, 0.2),
        ("Vn II", "D4", 0.95, 0.9, 0.8),
        ("Vn I", "A4", 1.0, 1.0, 1.0),
        ("Vn I", "E6", 0.4, 0.6, 0.8),
        ("Vn I", "A6", 0.1, 0.2, 0.4),
        ("Vla", "C3", 0.6, 0.4, 0.3),
        ("Vla", "G3", 0.95, 0.8, 0.75),
        ("Vla", "A5", 0.3, 0.5, 0.6),
        ("Vc", "C2", 0.3, 0.2, 0.2),
        ("Vc", "C5", 0.4, 0.5, 0.6),
    ],
)
def test_registers_suit_a_tune_by_how_strong_it_is(key, pitch, soft, plain, full):
    """Low strings speak softly and vanish in full music; high ones the other way round."""
    who, place = section(key), midi(pitch)
    found = [fitness(who, place, 1, strength) for strength in STRENGTHS]
    assert found == [soft, plain, full]


def test_every_register_of_the_strings_is_reached():
    for who in strings().sections:
        shares = register_shares(
            who, {float(pitch): 1 for pitch in range(who.low, who.high + 1)}, 0
        )
        assert [name for name, _ in shares] == [register.name for register in who.registers]
