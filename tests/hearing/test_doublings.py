"""Every clause of what a doubling is, in music of a few bars written for it."""

import pytest

from tests.hearing.hearing import doublings, stacks

LINE = "4/4 | C5q D5 E5 F5 | G5q F5 E5 D5 | C5w |"
BELOW = "4/4 | C4q D4 E4 F4 | G4q F4 E4 D4 | C4w |"


def test_unison() -> None:
    assert doublings({"Vn I": LINE, "Vn II": LINE}) == ["1.1 to 3.5: Vn I = Vn II: 9 notes"]


def test_octaves_are_named_from_above() -> None:
    found = ["1.1 to 3.5: Vla = Vn I 1 below: 9 notes"]
    assert doublings({"Vn I": BELOW, "Vla": LINE}) == found


def test_other_intervals_are_none() -> None:
    sixths = "4/4 | E4q F4 G4 A4 | B4q A4 G4 F4 | E4w |"
    assert doublings({"Vn I": LINE, "Vn II": sixths}) == []


def test_what_sounds_counts_not_what_is_written() -> None:
    clarinet = "4/4 transpose=-1,-2 | D5q E5 F#5 G5 | A5q G5 F#5 E5 | D5w |"
    assert doublings({"Clarinet": clarinet, "Vn I": LINE}) == [
        "1.1 to 3.5: Clarinet = Vn I: 9 notes"
    ]


def test_fewer_than_six_notes_are_none() -> None:
    apart = "4/4 | C5q D5 E5 F5 | G5q A5 G5 A5 | G5w |"
    assert doublings({"Vn I": LINE, "Vn II": apart}) == []


def test_a_whole_phrase_may_be_shorter() -> None:
    phrase = "4/4 | rq C5q D5 E5 | rq"
    assert doublings({"Vn I": f"{phrase} A5q B5 A5 |", "Vn II": f"{phrase} F5q E5 D5 |"}) == [
        "1.2 to 1.5: Vn I = Vn II: 3 notes"
    ]


def test_a_short_figure_that_goes_on_in_one_of_them_is_none() -> None:
    goes_on = "4/4 | rq C5q D5 E5 | A5q A5 B5 A5 |"
    stops = "4/4 | rq C5q D5 E5 | rq F5q E5 D5 |"
    assert doublings({"Vn I": goes_on, "Vn II": stops}) == []


def test_fewer_than_three_pitch_classes_are_none() -> None:
    two = "4/4 | C5q G5 C5 G5 | C5q G4 C5 G5 | C5w |"
    assert doublings({"Vn I": two, "Vn II": two}) == []


def test_mostly_repeated_notes_are_none() -> None:
    repeated = "4/4 | C5e C5 C5 C5 D5 D5 D5 D5 | E5e E5 E5 E5 F5 F5 F5 F5 |"
    assert doublings({"Vn I": repeated, "Vn II": repeated}) == []
    in_pairs = "4/4 | C5e C5 D5 D5 E5 E5 F5 F5 | G5e G5 F5 F5 E5 E5 D5 D5 |"
    found = ["1.1 to 2.5: Vn I = Vn II: 16 notes"]
    assert doublings({"Vn I": in_pairs, "Vn II": in_pairs}) == found


def test_one_note_in_eight_may_differ() -> None:
    one_other = "4/4 | C5q D5 E5 A5 | G5q F5 E5 D5 | C5w |"
    found = ["1.1 to 3.5: Vn I = Vn II: 8 notes, 1 differing"]
    assert doublings({"Vn I": LINE, "Vn II": one_other}) == found


def test_more_than_one_note_in_eight_is_more_than_may_differ() -> None:
    two_others = "4/4 | C5q D5 E5 A5 | G5q F5 E5 A5 | C5w |"
    assert doublings({"Vn I": LINE, "Vn II": two_others}) == []


def test_lengths_may_differ() -> None:
    detached = "4/4 | C5e re D5e re E5e re F5e re | G5q F5 E5 D5 | C5q rq rh |"
    found = ["1.1 to 3.2: Vn I = Vn II: 9 notes"]
    assert doublings({"Vn I": LINE, "Vn II": detached}) == found


LONG = "4/4 | C5q D5 E5 F5 | G5q F5 E5 D5 | C5q E5 G5 C6 | B5q A5 G5 F5 | E5q D5 C5 D5 |"
"""Twenty notes, so that two or three that differ are few."""


def test_two_different_notes_in_a_row_do_not_end_it() -> None:
    other = LONG.replace("C5q E5 G5 C6", "C5q F5 A5 C6")
    found = ["1.1 to 5.5: Vn I = Vn II: 18 notes, 2 differing"]
    assert doublings({"Vn I": LONG, "Vn II": other}) == found


def test_the_third_different_note_in_a_row_ends_it() -> None:
    other = LONG.replace("C5q E5 G5 C6", "D5q F5 A5 C6")
    assert doublings({"Vn I": LONG, "Vn II": other}) == [
        "1.1 to 2.5: Vn I = Vn II: 8 notes",
        "3.4 to 5.5: Vn I = Vn II: 9 notes",
    ]


def test_notes_that_only_one_has_differ() -> None:
    other = LONG.replace("B5q A5 G5 F5", "B5q A5e B5 G5q F5")
    found = ["1.1 to 5.5: Vn I = Vn II: 20 notes, 1 differing"]
    assert doublings({"Vn I": LONG, "Vn II": other}) == found


def test_a_change_of_distance_ends_it() -> None:
    other = "4/4 | C5q D5 E5 F5 | G5q F5 E5 D5 | C4q E4 G4 C5 | B4q A4 G4 F4 | E4q D4 C4 D4 |"
    assert doublings({"Vn I": LONG, "Vn II": other}) == [
        "1.1 to 2.5: Vn I = Vn II: 8 notes",
        "3.1 to 5.5: Vn I = Vn II 1 below: 12 notes",
    ]


def test_a_note_in_another_octave_only_differs() -> None:
    other = LONG.replace("C6", "C5")
    found = ["1.1 to 5.5: Vn I = Vn II: 19 notes, 1 differing"]
    assert doublings({"Vn I": LONG, "Vn II": other}) == found


@pytest.mark.parametrize(
    ("rest", "found"),
    [
        ("R |", ["1.1 to 5.5: Vn I = Vn II: 14 notes"]),
        ("R | rq", ["1.1 to 2.5: Vn I = Vn II: 8 notes", "4.2 to 5.5: Vn I = Vn II: 7 notes"]),
    ],
)
def test_a_rest_of_both_longer_than_a_bar_ends_it(rest: str, found: list[str]) -> None:
    first = "4/4 | C5q D5 E5 F5 | G5q F5 E5 D5 |"
    last = "C5q D5 E5 | F5q E5 D5 C5 |" if rest.endswith("rq") else "C5h D5q E5 | F5q E5 D5h |"
    line = f"{first} {rest} {last}"
    assert doublings({"Vn I": line, "Vn II": line}) == found


def test_a_rest_of_one_of_them_is_what_the_other_plays_meanwhile() -> None:
    other = LONG.replace("C5q E5 G5 C6", "R")
    assert doublings({"Vn I": LONG, "Vn II": other}) == [
        "1.1 to 2.5: Vn I = Vn II: 8 notes",
        "4.1 to 5.5: Vn I = Vn II: 8 notes",
    ]


def test_a_single_note_cut_off_at_an_end_agrees_by_chance() -> None:
    one = LONG.replace("4/4 |", "4/4 | A4q B4 A4 B4 |")
    other = LONG.replace("4/4 | C5q D5", "4/4 | F4q G4 F4 G4 | C5q B4")
    found = ["2.3 to 6.5: Vn I = Vn II: 18 notes"]
    assert doublings({"Vn I": one, "Vn II": other}) == found


def test_a_single_note_that_begins_a_phrase_is_no_chance() -> None:
    other = LONG.replace("C5q D5 E5", "C5q B4 E5")
    found = ["1.1 to 5.5: Vn I = Vn II: 19 notes, 1 differing"]
    assert doublings({"Vn I": LONG, "Vn II": other}) == found


def test_tied_notes_are_one() -> None:
    tied = LINE.replace("C5w", "C5h~ C5h")
    across = "4/4 | C5q D5 E5 F5 | G5q F5 E5 D5 | C5q~ C5q~ C5h |"
    found = ["1.1 to 3.5: Vn I = Vn II: 9 notes"]
    assert doublings({"Vn I": tied, "Vn II": across}) == found


def test_grace_notes_are_left_out() -> None:
    graced = "4/4 | `B4e C5q D5 E5 F5 | G5q `A5e F5q E5 D5 | C5w |"
    found = ["1.1 to 3.5: Vn I = Vn II: 9 notes"]
    assert doublings({"Vn I": LINE, "Vn II": graced}) == found


def test_two_voices_of_a_staff_may_double() -> None:
    below = "C4q D4 E4 F4", "G4q F4 E4 D4", "C4w"
    above = "C5q D5 E5 F5", "G5q F5 E5 D5", "C5w"
    bars = " | ".join(f"{one} & {other}" for one, other in zip(above, below, strict=True))
    found = ["1.1 to 3.5: Vn I = Vn I voice 2 1 below: 9 notes"]
    assert doublings({"Vn I": f"4/4 | {bars} |"}) == found


OCTAVES = "4/4 | [C4 C5]q [D4 D5] [E4 E5] [F4 F5] | [G4 G5]q [F4 F5] [E4 E5] [D4 D5] | C5w |"


def test_chords_are_lines_of_a_divided_section() -> None:
    assert doublings({"Vn I": OCTAVES, "Vc": BELOW}) == [
        "1.1 to 2.5: Vn I = Vn I -1 1 below: 8 notes",
        "1.1 to 3.5: Vn I = Vc 1 below: 9 notes",
        "1.1 to 2.5: Vn I -1 = Vc: 8 notes",
    ]


def test_a_lower_member_counts_only_by_notes_of_its_own() -> None:
    stopped = LINE.replace("| G5q", "| [B4 G5]q").replace("C5w", "[E4 C5]w")
    assert doublings({"Vn I": stopped, "Vn II": LINE}) == ["1.1 to 3.5: Vn I = Vn II: 9 notes"]


def test_stacks_are_groups_by_octave() -> None:
    two_below = "4/4 | C3q D3 E3 F3 | G3q F3 E3 D3 | C3w |"
    parts = {"Vn I": LINE, "Vn II": LINE, "Vla": BELOW, "Vc": two_below}
    assert stacks(parts) == ["1.1 to 3.5: Vn I + Vn II / Vla / Vc"]
    assert stacks({"Vn I": LINE, "Vc": two_below}) == ["1.1 to 3.5: Vn I // Vc"]


def test_a_stack_ends_where_a_line_joins_or_leaves() -> None:
    joins = "4/4 | R | R | C5q E5 G5 C6 | B5q A5 G5 F5 | E5q D5 C5 D5 |"
    below = "4/4 | C4q D4 E4 F4 | G4q F4 E4 D4 | C4q E4 G4 C5 | B4q A4 G4 F4 | R |"
    assert stacks({"Vn I": LONG, "Vn II": joins, "Vla": below}) == [
        "1.1 to 2.5: Vn I / Vla",
        "3.1 to 4.5: Vn I + Vn II / Vla",
        "5.1 to 5.5: Vn I + Vn II",
    ]


def test_groups_at_one_time_are_apart() -> None:
    other = "4/4 | E5q E5 C5 A4 | B4q D5 C5 B4 | E4w |"
    parts = {"Vn I": LINE, "Vn II": other, "Vla": BELOW, "Vc": other}
    assert stacks(parts) == ["1.1 to 3.5: Vn I / Vla", "1.1 to 3.5: Vn II + Vc"]
