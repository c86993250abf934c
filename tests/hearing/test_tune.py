"""Where a tune that is told is heard in a score."""

import re
from collections.abc import Mapping
from fractions import Fraction

import pytest

from rewriter.hearing.lines import Heard
from rewriter.hearing.stacks import levels_text
from rewriter.hearing.tune import (
    HeardTune,
    line_chosen,
    tune_told_by_part,
    tune_told_by_sketch,
)
from rewriter.hearing.tune_notes import notes_of_line
from rewriter.problems import Refused
from tests.hearing.hearing import heard, moment, name_of

TUNE = "C5q D5 E5 G5 | A5h G5q E5 | F5q E5 D5 B4 | C5w"
BELOW = "C4q D4 E4 G4 | A4h G4q E4 | F4q E4 D4 B3 | C4w"
CHORDS = "E4h G4 | F4h C5 | A4h G4 | E4w"


def _rows(listened: Heard, tune: HeardTune) -> list[str]:
    divisions = listened.reading.divisions
    rows = []
    for one in tune.stretches:
        row = f"{moment(listened, one.start)} to {moment(listened, one.stop, ends=True)}: "
        row += levels_text(one.levels, lambda place: name_of(listened, place))
        row += f", octave {one.top_octave}" if one.top_octave else ""
        if one.placement.semitones:
            row += f", {one.placement.semitones} semitones"
        if one.placement.later:
            row += f", {Fraction(one.placement.later, divisions)} quarters later"
        rows.append(row)
    return rows


def by_part(parts: Mapping[str, str], choice: str) -> list[str]:
    listened = heard({name: f"4/4 | {music} |" for name, music in parts.items()})
    return _rows(listened, tune_told_by_part(listened, choice))


def by_sketch(parts: Mapping[str, str], sketch: str) -> list[str]:
    listened = heard({name: f"4/4 | {music} |" for name, music in parts.items()})
    drawn = heard({"Tune": f"4/4 | {sketch} |"})
    notes = notes_of_line(drawn.lines[0], drawn.reading.divisions)
    return _rows(listened, tune_told_by_sketch(listened, notes))


def test_told_by_a_part() -> None:
    parts = {"Vn I": TUNE, "Vn II": CHORDS, "Vla": BELOW}
    assert by_part(parts, "Vla") == ["1.1 to 4.5: Vn I / Vla, octave 1"]
    assert by_part(parts, "P1") == ["1.1 to 4.5: Vn I / Vla"]
    assert by_part(parts, "vn ii") == ["1.1 to 4.5: Vn II"]


def test_told_by_a_voice() -> None:
    pairs = zip(TUNE.split("|"), CHORDS.split("|"), strict=True)
    both = " | ".join(f"{one} & {other}" for one, other in pairs)
    parts = {"Vn I": both, "Vla": BELOW}
    assert by_part(parts, "Vn I voice 1") == ["1.1 to 4.5: Vn I / Vla"]
    assert by_part(parts, "Vn I voice 2") == ["1.1 to 4.5: Vn I voice 2"]


def test_a_part_rests_for_more_than_a_bar() -> None:
    assert by_part({"Vn I": f"{TUNE} | R | R | {TUNE}"}, "Vn I") == [
        "1.1 to 4.5: Vn I",
        "7.1 to 10.5: Vn I",
    ]


@pytest.mark.parametrize(
    ("choice", "said"),
    [
        ("Oboe", 'no part is called "Oboe"; choose one with --tune: "Vn I" (P1), "Vla" (P2)'),
        ("Vn I staff 2", '"Vn I" (P1) has no staff 2; it has 1; choose one with --tune'),
        ("Vn I voice 4", '"Vn I" (P1), staff 1 has no voice 4; it has 1'),
        ("Vla", '"Vla" (P2), staff 1 has no notes; choose another with --tune'),
    ],
)
def test_what_is_not_there(choice: str, said: str) -> None:
    listened = heard({"Vn I": f"4/4 | {TUNE} |", "Vla": "4/4 | R | R | R | R |"})
    with pytest.raises(Refused, match=re.escape(said)):
        line_chosen(listened, choice)


def test_told_by_a_sketch() -> None:
    parts = {"Vn I": TUNE, "Vn II": CHORDS, "Vla": BELOW}
    assert by_sketch(parts, TUNE) == ["1.1 to 4.5: Vn I / Vla"]
    assert by_sketch(parts, BELOW) == ["1.1 to 4.5: Vn I / Vla, octave 1"]


def test_in_another_key() -> None:
    up = "D5q E5 F#5 A5 | B5h A5q F#5 | G5q F#5 E5 C#5 | D5w"
    parts = {"Vn I": up, "Vn II": CHORDS}
    assert by_sketch(parts, TUNE) == ["1.1 to 4.5: Vn I, 2 semitones"]


def test_who_moves_with_the_tune_in_fifths_has_not_the_tune() -> None:
    fifths = "G5q A5 B5 D6 | E6h D6q B5 | C6q B5 A5 F#5 | G5w"
    assert by_sketch({"Vn I": TUNE, "Vn II": fifths}, TUNE) == ["1.1 to 4.5: Vn I"]


def test_a_passage_in_another_key_and_one_in_its_own() -> None:
    parts = {
        "Vn I": "C5q D5 E5 G5 | A5h G5q E5 | G5q F#5 E5 C#5 | D5q E5 F#5 A5",
        "Vn II": "R | R | G4q F#4 E4 C#4 | D4q E4 F#4 A4",
    }
    assert by_sketch(parts, TUNE.replace("C5w", "C5q D5 E5 G5")) == [
        "1.1 to 2.5: Vn I",
        "3.1 to 4.5: Vn I + Vn II, 2 semitones".replace("+", "/"),
    ]


def test_two_notes_between_rests_are_enough_at_the_tune_s_own_time() -> None:
    parts = {"Vn I": TUNE, "Vla": "rq D4q E4 rq | R | R | R"}
    assert by_sketch(parts, TUNE)[1] == "1.2 to 1.4: Vn I / Vla"


def test_behind_an_introduction() -> None:
    parts = {"Vn I": f"R | R | {TUNE}", "Vn II": f"C4w | G4w | {CHORDS}"}
    assert by_sketch(parts, TUNE) == ["3.1 to 6.5: Vn I, 8 quarters later"]


def test_stated_twice_by_different_sections() -> None:
    rests = "R | R | R | R"
    parts = {"Vn I": f"{TUNE} | {rests}", "Vla": f"{rests} | {BELOW}"}
    assert by_sketch(parts, TUNE) == [
        "1.1 to 4.5: Vn I",
        "5.1 to 8.5: Vla, octave -1, 16 quarters later",
    ]


def test_one_note_in_eight_may_differ() -> None:
    assert by_sketch({"Vn I": TUNE.replace("B4", "G4")}, TUNE) == ["1.1 to 4.5: Vn I"]
    two = TUNE.replace("B4", "G4").replace("A5h", "F5h")
    assert by_sketch({"Vn I": two}, TUNE) == ["1.1 to 3.4: Vn I"]


def test_a_line_changes_octave_and_passes_on() -> None:
    parts = {
        "Vn I": "C5q D5 E5 G5 | A5h G5q E5 | R | R",
        "Vla": "R | R | F5q E5 D5 B4 | C5w",
        "Vc": "C3q D3 E3 G3 | A3h G3q E3 | F2q E2 D2 B1 | C2w",
    }
    assert by_sketch(parts, TUNE) == [
        "1.1 to 2.5: Vn I // Vc",
        "3.1 to 4.5: Vla /// Vc",
    ]


def test_what_agrees_by_chance_in_an_accompaniment_is_nothing() -> None:
    parts = {"Vn I": TUNE, "Vn II": "C4q D4 E4 C4 | A4h B4q C4 | F4q G4 A4 B4 | C4w"}
    assert by_sketch(parts, TUNE) == ["1.1 to 4.5: Vn I"]
