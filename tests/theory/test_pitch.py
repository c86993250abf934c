"""Pitches: names, MIDI numbers, spelling."""

import re

import pytest

from rewriter.theory.pitch import Pitch, midi, name_of_midi, note_name, parse_pitch

# Scientific pitch against MIDI, from the MIDI note table (C4 = 60, A4 = 69 = 440 Hz).
MIDI = {
    "C-1": 0, "A0": 21, "B0": 23, "C1": 24, "E1": 28, "C2": 36, "E2": 40, "F2": 41, "C3": 48,
    "G3": 55, "C4": 60, "A4": 69, "C5": 72, "E5": 76, "A5": 81, "E6": 88, "F#6": 90, "A6": 93,
    "C7": 96, "E7": 100, "A7": 105, "B7": 107, "C8": 108, "G9": 127,
}  # fmt: skip


@pytest.mark.parametrize(("name", "number"), MIDI.items())
def test_names_and_midi_numbers(name, number):
    assert parse_pitch(name).midi == number
    assert name_of_midi(number) == name


@pytest.mark.parametrize(
    ("name", "number"),
    [("Cb4", 59), ("B#3", 60), ("E#4", 65), ("F##4", 67), ("Fx4", 67), ("Ebb5", 74)],
)
def test_the_octave_follows_the_letter(name, number):
    """MusicXML 4.0, <octave>: the octave of the letter, whatever its accidental."""
    assert parse_pitch(name).midi == number


def test_every_name_is_read_back():
    for step in "CDEFGAB":
        for alter in range(-2, 3):
            for octave in range(-1, 10):
                pitch = Pitch(step, alter, octave)
                assert parse_pitch(note_name(*pitch)) == pitch


def test_midi_of_semitones_is_an_int():
    assert type(midi("F", 1.0, 4)) is int
    assert midi("A", -0.5, 4) == 68.5


@pytest.mark.parametrize("text", ["", "H4", "C", "4", "C#b4", "C4 D4", "C444", "do", "C####4"])
def test_what_is_no_pitch(text):
    said = f'"{text}" is no pitch; write it like F#4 or Bb3'
    with pytest.raises(ValueError, match=f"^{re.escape(said)}$"):
        parse_pitch(text)
