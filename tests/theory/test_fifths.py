"""Intervals, keys and spelling, against music21 and the tables of theory."""

import re

import music21
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rewriter.theory.fifths import (
    Interval,
    Key,
    interval_between_keys,
    kept_within_seven,
    key_after,
    key_name,
    parse_interval,
    parse_key,
    position,
    transpose,
)
from rewriter.theory.pitch import Pitch, parse_pitch

# Fifths up, interval: (steps, semitones); the line of fifths written out by hand.
LINE = {
    -12: ("d2", 1, 0), -11: ("d6", 5, 7), -10: ("d3", 2, 2), -9: ("d7", 6, 9), -8: ("d4", 3, 4),
    -7: ("d8", 7, 11), -6: ("d5", 4, 6), -5: ("m2", 1, 1), -4: ("m6", 5, 8), -3: ("m3", 2, 3),
    -2: ("m7", 6, 10), -1: ("P4", 3, 5), 0: ("P1", 0, 0), 1: ("P5", 4, 7), 2: ("M2", 1, 2),
    3: ("M6", 5, 9), 4: ("M3", 2, 4), 5: ("M7", 6, 11), 6: ("A4", 3, 6), 7: ("A1", 0, 1),
    8: ("A5", 4, 8), 9: ("A2", 1, 3), 10: ("A6", 5, 10), 11: ("A3", 2, 5), 12: ("A7", 6, 12),
}  # fmt: skip
NAMES = [name for name, _, _ in LINE.values() if name != "P1"]
UP_AND_DOWN = [*NAMES, *(f"-{name}" for name in NAMES)]

MAJOR = ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"]
MINOR = ["Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "D#", "A#"]


@pytest.mark.parametrize(("fifths", "row"), LINE.items())
def test_the_line_of_fifths(fifths, row):
    name, steps, semitones = row
    assert parse_interval(name) == Interval(steps, semitones)
    modulo_octave = Interval(steps, semitones).fifths
    assert modulo_octave == fifths


@pytest.mark.parametrize(
    ("text", "interval"),
    [
        ("m3", (2, 3)),
        ("up m3", (2, 3)),
        ("+m3", (2, 3)),
        ("down M2", (-1, -2)),
        ("-M2", (-1, -2)),
        ("\u2212M2", (-1, -2)),
        ("M2 down", (-1, -2)),
        ("P8", (7, 12)),
        ("M9", (8, 14)),
        ("P15", (14, 24)),
        ("AA4", (3, 7)),
        ("dd7", (6, 8)),
    ],
)
def test_intervals_are_read(text, interval):
    assert parse_interval(text) == interval


@pytest.mark.parametrize("text", ["", "3", "P3", "M5", "m4", "m0", "up", "up m3 up", "x3", "m"])
def test_what_is_no_interval(text):
    said = f'"{text}" is no interval; write it like m3, up P4 or down M2'
    with pytest.raises(ValueError, match=f"^{re.escape(said)}$"):
        parse_interval(text)


def as_music21(pitch):
    return music21.pitch.Pitch(str(pitch).replace("b", "-"))


@pytest.mark.parametrize("name", UP_AND_DOWN)
def test_transposing_agrees_with_music21(name):
    """Every pitch with up to two accidentals, wherever music21's answer has at most two."""
    theirs = music21.interval.Interval(name)
    compared = 0
    for step in "CDEFGAB":
        for alter in (-2, -1, 0, 1, 2):
            pitch = Pitch(step, alter, 4)
            expected = theirs.transposePitch(as_music21(pitch), maxAccidental=None)
            found = transpose(pitch, parse_interval(name))
            assert found.midi == expected.ps
            if abs(expected.alter) <= 2:
                compared += 1
                assert as_music21(found).nameWithOctave == expected.nameWithOctave
    assert compared >= 20


@pytest.mark.parametrize("name", UP_AND_DOWN)
def test_keys_agree_with_music21(name):
    theirs = music21.interval.Interval(name)
    compared = 0
    for fifths in range(-7, 8):
        expected = music21.key.KeySignature(fifths).transpose(theirs).sharps
        found = key_after(fifths, parse_interval(name))
        assert -7 <= found <= 7
        assert (found - expected) % 12 == 0
        if fifths + parse_interval(name).fifths == found:
            compared += 1
            assert found == expected
    assert compared >= 3


PITCHES = st.builds(Pitch, st.sampled_from("CDEFGAB"), st.integers(-2, 2), st.integers(1, 7))
INTERVALS = st.sampled_from(UP_AND_DOWN).map(parse_interval)


@given(PITCHES, INTERVALS)
def test_up_and_down_again_restores_the_spelling(pitch, interval):
    there = transpose(pitch, interval)
    if position(there) - position(pitch) == interval.fifths:  # nothing had to be simplified
        assert transpose(there, interval.reversed()) == pitch
    assert abs(there.alter) <= 2


@given(st.integers(-7, 7), INTERVALS)
def test_notes_of_a_key_stay_notes_of_its_key(fifths, interval):
    """The seven notes of a key land on the seven notes of the key it becomes."""
    moved = kept_within_seven(fifths, interval)
    after = key_after(fifths, interval)
    for step in "CDEFGAB":
        degree = Pitch(step, _alter_in_key(step, fifths), 4)
        landed = transpose(degree, moved)
        assert landed.alter == _alter_in_key(landed.step, after)
        assert landed.midi - degree.midi == interval.semitones


def _alter_in_key(step, fifths):
    sharps, flats = "FCGDAEB", "BEADGCF"
    if fifths >= 0:
        return 1 if step in sharps[:fifths] else 0
    return -1 if step in flats[:-fifths] else 0


def test_triple_accidentals_are_respelled():
    assert str(transpose(parse_pitch("F##4"), parse_interval("A1"))) == "G#4"
    assert str(transpose(parse_pitch("Bbb4"), parse_interval("-A1"))) == "Ab4"
    assert str(transpose(parse_pitch("F#4"), parse_interval("A1"))) == "F##4"


def test_quarter_tones_keep_their_fraction():
    assert transpose(Pitch("F", 0.5, 4), parse_interval("M2")) == Pitch("G", 0.5, 4)


@pytest.mark.parametrize("fifths", range(-7, 8))
def test_key_signatures(fifths):
    """The fifteen signatures; compared with music21 as well."""
    major, minor = parse_key(MAJOR[fifths + 7]), parse_key(f"{MINOR[fifths + 7]} minor")
    assert major.fifths("major") == fifths
    assert minor.fifths("major") == fifths
    assert music21.key.Key(MAJOR[fifths + 7].replace("b", "-")).sharps == fifths


@pytest.mark.parametrize(
    ("text", "tonic", "mode"),
    [
        ("G", "G", None),
        ("g", "G", None),
        ("B", "B", None),
        ("F# minor", "F#", "minor"),
        ("f sharp minor", "F#", "minor"),
        ("Bb", "Bb", None),
        ("bb", "Bb", None),
        ("E-flat major", "Eb", "major"),
        ("Dm", "D", "minor"),
        ("F#m", "F#", "minor"),
        ("D dorian", "D", "dorian"),
        ("b-Moll", "Bb", "minor"),
        ("B-Dur", "Bb", "major"),
        ("Es-Dur", "Eb", "major"),
        ("fis-Moll", "F#", "minor"),
        ("H", "B", None),
        ("h-Moll", "B", "minor"),
        ("As", "Ab", None),
        ("Es", "Eb", None),
        ("Cis", "C#", None),
        ("Ges-Dur", "Gb", "major"),
        ("d dorisch", "D", "dorian"),
    ],
)
def test_keys_are_read(text, tonic, mode):
    assert parse_key(text) == Key(position(parse_pitch(f"{tonic}4")), mode)


@pytest.mark.parametrize(
    "text", ["", "X", "G#b", "G superlocrian", "Gx", "Hb", "1", "G minor 7"]
)
def test_what_is_no_key(text):
    said = f'"{text}" is no key; write it like G, F# minor, Bb or Es-Dur'
    with pytest.raises(ValueError, match=f"^{re.escape(said)}$"):
        parse_key(text)


MODES = {"D dorian": 0, "E phrygian": 0, "F lydian": 0, "G mixolydian": 0, "B locrian": 0}


@pytest.mark.parametrize(("text", "fifths"), MODES.items())
def test_modes_on_white_keys_have_no_signature(text, fifths):
    assert parse_key(text).fifths("major") == fifths


@pytest.mark.parametrize(
    ("fifths", "mode", "to", "direction", "interval"),
    [
        (0, "major", "G", "nearest", "-P4"),
        (0, "major", "G", "up", "P5"),
        (0, "major", "G", "down", "-P4"),
        (0, "major", "C", "up", "P1"),
        (-1, "minor", "G", "nearest", "P4"),  # D minor to G minor
        (0, "major", "F#", "nearest", "A4"),
        (0, "major", "Gb", "nearest", "d5"),
        (0, "major", "Gb", "down", "-A4"),
        (5, "major", "Bb", "nearest", "-A1"),
        (2, "dorian", "A", "nearest", "P4"),  # E dorian to A dorian
    ],
)
def test_intervals_between_keys(fifths, mode, to, direction, interval):
    found = interval_between_keys(fifths, mode, parse_key(to), direction)
    assert found == parse_interval(interval)


@given(st.integers(-7, 7), st.sampled_from(MAJOR), st.sampled_from(["nearest", "up", "down"]))
def test_the_interval_leads_to_the_key(fifths, to, direction):
    interval = interval_between_keys(fifths, "major", parse_key(to), direction)
    assert fifths + interval.fifths == parse_key(to).tonic
    assert abs(interval.semitones) <= (6 if direction == "nearest" else 12)


@given(
    st.sampled_from(["P", "M", "m", "A", "d", "AA", "dd"]), st.integers(1, 22), st.booleans()
)
def test_an_interval_is_written_as_it_is_read(quality, number, down):
    try:
        interval = parse_interval(f"{'down' if down else 'up'} {quality}{number}")
    except ValueError:  # M5, P3
        return
    assert interval == (0, 0) or parse_interval(interval.text) == interval


@pytest.mark.parametrize("mode", ["major", "minor", "dorian", "locrian"])
@pytest.mark.parametrize("fifths", range(-7, 8))
def test_a_key_is_written_as_it_is_read(fifths, mode):
    key = parse_key(key_name(fifths, mode))
    assert (key.fifths("major"), key.mode) == (fifths, mode)
