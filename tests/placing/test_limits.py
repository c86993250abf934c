"""Notes against range and extreme: the treatises' limits, and the sentences said."""

import pytest
from msgspec.structs import replace

from rewriter.placing.limits import PlayedLine, beyond, beyond_limits, notes_outside
from tests.placing.ground import midi, player, said, section, tune

# Synthesis of Rimsky-Korsakov (1922) pp. 8-9, Johnstone (1917) pp. 8-14, Prout I (1899)
# p. 19, Widor (tr. Suddard 1906) pp. 175-176; open strings: Johnstone pp. 8-14.
LIMITS = [
    ("Vn I", "G3", "E7", "B7"),
    ("Vn II", "G3", "E7", "B7"),
    ("Vla", "C3", "E6", "A6"),
    ("Vc", "C2", "A5", "E6"),
    ("Db", "E1", "G3", "G4"),
]


@pytest.mark.parametrize(("key", "low", "high", "extreme"), LIMITS)
def test_the_treatises_limits(key, low, high, extreme):
    who = section(key)
    assert beyond(who, midi(low) - 1) == "below the lowest string"
    assert beyond(who, midi(low)) is None
    assert beyond(who, midi(high)) is None
    assert beyond(who, midi(high) + 1) == "above the range"
    assert beyond(who, midi(extreme)) == "above the range"
    assert beyond(who, midi(extreme) + 1) == "above the extreme"


# Measured on 122 string quartets (OpenScore String Quartets, CC0), sounding MIDI numbers by
# duration: 1 %, 99 %, 99.9 % and the highest note of all. Soloists: an upper bound.
QUARTETS = [
    ("Vn I", 57, 92, 97, 107),
    ("Vn II", 55, 84, 89, 100),
    ("Vla", 48, 76, 81, 88),
    ("Vc", 36, 69, 78, 88),
]


@pytest.mark.parametrize(("key", "low", "high", "higher", "highest"), QUARTETS)
def test_what_quartets_play_is_in_range_and_never_unplayable(key, low, high, higher, highest):
    who = section(key)
    assert [beyond(who, pitch) for pitch in (low, high, higher)] == [None, None, None]
    assert beyond(who, highest) in {None, "above the range"}


def test_a_lower_fifth_string_makes_its_notes_playable():
    import msgspec

    five_strings = msgspec.structs.replace(section("Db"), lowest=midi("B0"))
    assert beyond(five_strings, midi("D1")) == "below the range"
    assert beyond(five_strings, midi("A#0")) == "below the lowest string"


def checked(key, notes, timeline, *, share="whole", octave=0):
    line = PlayedLine(player(key, octave, share), notes, 12 * octave)
    return said(beyond_limits(line, timeline))


@pytest.mark.parametrize(
    ("key", "text", "octave", "line"),
    [
        (
            "Vn I",
            "A4q F#6q A4h",
            1,
            "warning: Vn I, bar 1, beat 2: F#7 is above the range (G3 to E7); "
            "let the section leader judge  [beyond-range]",
        ),
        (
            "Vn I",
            "A4w | r`h C6h",
            2,
            "error: Vn I, bar 2, beat 3: C8 is above the extreme (B7); "
            "move it down or give it to a higher section  [beyond-extreme]",
        ),
        (
            "Vla",
            "A4q. B3e C4h",
            -1,
            "error: Vla, bar 1, beat 2.5: B2 is below the lowest string (C3); "
            "move it up or give it to a lower section  [below-lowest-string]",
        ),
    ],
)
def test_each_note_outside_is_said(key, text, octave, line):
    notes, timeline = tune(text.replace("`h", "h"))
    assert checked(key, notes, timeline, octave=octave) == [line]


def test_a_grace_note_is_checked_too():
    notes, timeline = tune("`F#3e G3w")
    (line,) = checked("Vn II", notes, timeline, share="half")
    assert line.startswith("error: half Vn II, bar 1, beat 1: F#3 is below the lowest string")


def test_of_a_line_in_range_there_is_nothing_to_say():
    notes, timeline = tune("G3q E7q G3h")
    assert checked("Vn I", notes, timeline) == []
    assert checked("Vn I", [], timeline) == []


def test_more_than_four_bars_at_the_top_are_tiring():
    notes, timeline = tune("A5w | " + "B6w | " * 5 + "A5w | " + "B6w | " * 4 + "A5w")
    assert checked("Vn I", notes, timeline) == [
        "advice: Vn I, bar 2, beat 1: 5 bars in the top register (A6 and above); "
        "give the section relief or hand the line over  [long-at-the-top]"
    ]


def test_a_note_tied_over_barlines_is_as_long_as_its_bars():
    """Six bars of one A6 touch bars 1 to 6, whatever bar it begins in."""
    notes, timeline = tune("A6w | " * 5 + "A6w")
    tied = [notes[0]._replace(length=6 * 16)]
    (found,) = checked("Vn I", tied, timeline)
    assert found.split(": ", 2)[2].startswith("6 bars in the top register (A6 and above)")
    four = [notes[0]._replace(length=4 * 16)]
    assert checked("Vn I", four, timeline) == []


def test_a_rest_of_a_bar_is_relief_and_a_shorter_one_is_not():
    notes, timeline = tune("A6w | " + "rw | " * 6 + "A6w")
    assert checked("Vn I", notes, timeline) == []
    notes, timeline = tune("A6w | A6w | rw | A6w | A6w | A6w")
    assert checked("Vn I", notes, timeline) == []
    notes, timeline = tune("A6w | A6w | rh. A6q | A6w | A6w")
    (found,) = checked("Vn I", notes, timeline)
    assert found.split(": ", 2)[2].startswith("5 bars in the top register (A6 and above)")


def test_findings_come_in_the_order_of_the_notes():
    notes, timeline = tune("C7w | F7w | C7w | C7w | C7w | F#7w")
    found = checked("Vn I", notes, timeline)
    assert [(line.split(", ")[1], line.split("[")[1]) for line in found] == [
        ("bar 1", "long-at-the-top]"),
        ("bar 2", "beyond-range]"),
        ("bar 6", "beyond-range]"),
    ]


def test_basses_have_no_top_register_to_tire_in():
    notes, timeline = tune("E3w | " * 9 + "E3w")
    assert checked("Db", notes, timeline) == []


@pytest.mark.parametrize(
    ("by", "outside"), [(0, (0, 0)), (1, (0, 2)), (8, (2, 3)), (-41, (1, 1))]
)
def test_notes_outside_are_counted_at_any_number_of_semitones(by, outside):
    """Cellos from C2, 36, to A5, 81, at the most E6, 88; two notes A5 and one E5, 76."""
    assert notes_outside(section("Vc"), {76: 1, 81: 2}, by) == outside


def test_the_upper_of_two_registers_is_a_top_and_an_only_one_is_none():
    import msgspec

    notes, timeline = tune(" | ".join(["A6w"] * 6))
    low, *_, top = section("Vn I").registers
    for registers, count in (((low, top), 1), ((top,), 0)):
        who = msgspec.structs.replace(section("Vn I"), registers=registers)
        line = PlayedLine(replace(player("Vn I"), section=who), notes, 0)
        assert len(beyond_limits(line, timeline)) == count
