"""What a copyist writes over the staff where a section divides: exactly there, and no more."""

import pytest

from tests.planned import by_layout, by_plan, layout, said
from tests.shorthand import sketch

FOUR = "4/4 | C5w | D5w | E5w | F5w |"


def planned(*stacks: str, section: str = "Vc") -> str:
    """What a section says over four bars, a bar for each stack; empty for a gap."""
    passages = [
        f'bars = "{bar}"\nstack = "{stack}"'
        for bar, stack in enumerate(stacks, start=1)
        if stack
    ]
    return said(by_plan(sketch(FOUR), *passages).score)[section]


def test_a_whole_section_is_told_nothing() -> None:
    assert planned(*["Vc 8vb"] * 4) == "C4w | D4w | E4w | F4w"


def test_half_and_tutti() -> None:
    found = planned("Vc 8vb", "half Vc 8vb", "half Vc 8vb", "Vc 8vb")
    assert found == 'C4w | "half" D4w | E4w | "tutti" F4w'


def test_half_is_not_cancelled_over_a_rest_but_where_all_come_back() -> None:
    assert (
        planned("half Vc 8vb", "", "Vc 8vb", "Vc 8vb") == '"half" C4w | R | "tutti" E4w | F4w'
    )


def test_half_again_after_a_rest_is_not_said_twice() -> None:
    found = planned("half Vc 8vb", "Vla loco", "half Vc 8vb", "Vc 8vb")
    assert found == '"half" C4w | R | E4w | "tutti" F4w'


def test_who_takes_a_line_over_are_all_its_players() -> None:
    music = "4/4 | C5q D5 E5 F5 | A5h B5 | C6q D6 C6 B5 | E5w |"
    takes = layout(
        "Vn I loco / half Vc",
        '[line."Vn I"]',
        'handover = { above = "G5", to = "Vla", at = "bar" }',
    )
    score = by_plan(
        sketch(music),
        'bars = "1"\nstack = "half Vla loco"',
        'from = "2"\nto = "end"\nlayout = "takes.toml"',
        takes=takes,
    ).score
    assert said(score)["Vla"].split(" | ")[:2] == ['"half" C5q D5q E5q F5q', '"tutti" A5h B5h']


def test_half_a_section_that_takes_a_line_over_goes_back_to_half() -> None:
    music = "4/4 | C5q D5 E5 F5 | A5h B5 | C6q D6 C6 B5 | E5w | E5w | E5w |"
    takes = layout(
        "Vn I loco / half Vla",
        '[line."Vn I"]',
        'handover = { above = "G5", to = "Vla", at = "bar", leave = true }',
    )
    score = by_layout(sketch(music), takes).score
    assert said(score)["Vla"].split(" | ")[:4] == [
        '"half" C4q D4q E4q F4q', '"tutti" A5h B5h', "C6q D6q C6q B5q", '"half" E4w',
    ]  # fmt: skip


def test_desks_solo_and_a_third() -> None:
    found = planned("desk 1 Vc 8vb", "desks 1-2 Vc 8vb", "solo Vc 8vb", "third Vc 8vb")
    assert found == '"desk 1" C4w | "desks 1\N{EN DASH}2" D4w | "solo" E4w | "a third" F4w'


@pytest.mark.parametrize(
    ("language", "half", "div", "unis"),
    [
        ("en", "half", "div.", "unis."),
        ("it", "metà", "div.", "unis."),
        ("de", "die Hälfte", "geteilt", "zusammen"),
        ("fr", "la moitié", "div.", "unis"),
    ],
)
def test_in_four_languages(language: str, half: str, div: str, unis: str) -> None:
    del unis  # said where a plan goes back; see below
    one = by_layout(sketch(FOUR), layout("half Vc 8vb"), language=language)
    assert said(one.score)["Vc"] == f'"{half}" C4w | D4w | E4w | F4w'
    two = by_layout(sketch(FOUR), layout("Vc loco / Vc"), language=language)
    assert said(two.score)["Vc"] == f'"{div}" C5+C4w | D5+D4w | E5+E4w | F5+F4w'


def test_divided_in_octaves_and_back_in_unison() -> None:
    found = planned("Vc 8vb", "Vc loco / Vc", "Vc loco / Vc", "Vc 8vb")
    assert found == 'C4w | "div." D5+D4w | E5+E4w | "unis." F4w'


def test_unis_waits_for_the_section_to_play_again() -> None:
    found = planned("Vc loco / Vc", "", "", "Vc 8vb")
    assert found == '"div." C5+C4w | R | R | "unis." F4w'


def test_by_three() -> None:
    assert planned("Vc loco / Vc / Vc", *["Vc 8vb"] * 3) == (
        '"div. a 3" C5+C4+C3w | "unis." D4w | E4w | F4w'
    )


def test_from_two_to_three_and_back_to_two() -> None:
    found = planned("Vc loco / Vc", "Vc loco / Vc / Vc", "Vc loco / Vc", "Vc 8vb")
    assert found == '"div." C5+C4w | "div. a 3" D5+D4+D3w | "div." E5+E4w | "unis." F4w'


def test_named_parts_are_named() -> None:
    """The first desk above, the others below."""
    found = planned("desk 1 Vc loco / others Vc", *["Vc 8vb"] * 3)
    assert found == '"div." "desk 1 / the others" C5+C4w | "unis." D4w | E4w | F4w'


def test_from_divided_to_half() -> None:
    found = planned("Vc loco / Vc", "half Vc 8vb", "Vc 8vb", "Vc 8vb")
    assert found == '"div." C5+C4w | "half" D4w | "tutti" E4w | F4w'


def test_words_stand_at_the_first_note_of_the_section() -> None:
    data = sketch("4/4 | rh C5q D5 | E5w | F5w | G5w |")
    found = said(by_plan(data, 'bars = "1-4"\nstack = "half Vc 8vb"').score)["Vc"]
    assert found == 'rh "half" C4q D4q | E4w | F4w | G4w'


def test_a_border_within_the_bar() -> None:
    data = sketch("4/4 | C5q D5 E5 F5 | G5w |")
    made = by_plan(
        data,
        'bars = "1"\nstack = "Vc 8vb"',
        'from = "1 beat 3"\nto = "end"\nstack = "half Vc 8vb"',
    )
    assert said(made.score)["Vc"] == 'C4q D4q "half" E4q F4q | G4w'


def test_a_marking_stands_behind_who_plays() -> None:
    text = layout("half Vc 8vb", '[line."Vc"]', 'marking = "espr."')
    assert said(by_layout(sketch(FOUR), text).score)["Vc"] == (
        '"half" "espr." C4w | D4w | E4w | F4w'
    )


def test_chords_of_the_tune_divide_where_they_stand() -> None:
    data = sketch("4/4 | C5w | [D5 B4]w | E5w | F5w | G5w | A5w |")
    found = said(by_layout(data, layout("Vc 8vb"), chords="divide").score)["Vc"]
    assert found == 'C4w | "div." D4+B3w | "unis." E4w | F4w | G4w | A4w'


def test_divided_bars_close_to_each_other_stay_divided() -> None:
    data = sketch("4/4 | [C5 A4]w | D5w | [E5 C5]w | F5w | G5w | A5w | B5w |")
    found = said(by_layout(data, layout("Vc 8vb"), chords="divide").score)["Vc"]
    assert found == '"div." C4+A3w | D4w | E4+C4w | "unis." F4w | G4w | A4w | B4w'


def test_tune_and_accompaniment_in_one_section() -> None:
    """Half the cellos sing, the other half play the bass."""
    data = sketch("4/4 | C5q D5 E5 F5 | G5w |", others={"Bass": "4/4 | C3h F3 | G3w |"})
    text = layout("half Vc 8vb", "[[with]]", 'from = "Bass"', 'to = "half Vc loco"')
    found = said(by_layout(data, text, tune="Flute").score)
    assert found["Vc"] == '"div." C4q D4q E4q F4q | G4w'
    assert found["Vc 2"] == "C3h F3h | G3w"


def test_on_two_staves_each_is_named_on_its_own() -> None:
    data = sketch("4/4 | C5q D5 E5 F5 | G5w |", others={"Bass": "4/4 | R | G3w |"})
    text = layout("desk 1 Vc 8vb", "[[with]]", 'from = "Bass"', 'to = "others Vc loco"')
    found = said(by_layout(data, text, tune="Flute").score)
    assert found["Vc"] == '"div." "desk 1" C4q D4q E4q F4q | G4w'
    assert found["Vc 2"] == 'R | "the others" G3w'
