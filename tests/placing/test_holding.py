"""Who can begin a passage within a bar while others of the section still hold a note."""

import pytest

from tests.planned import by_plan, layout, said
from tests.shorthand import sketch

TUNE = "4/4 | C4q D4 E4 F4 | G4q A4 B4 C5 | D5w |"
PAD = "4/4 | G3w~ | G3w | C3w |"


def handed_on(before: str, after: str, *more: str, pad: str = PAD) -> tuple[str, list[str]]:
    """What the cellos play where one passage follows another in bar 2, and who enters late."""
    made = by_plan(
        sketch(TUNE, others={"Pad": pad}, tune="Melody"),
        'from = "1"\nto = "2 beat 2"\nlayout = "one.toml"',
        'from = "2 beat 3"\nto = "end"\nlayout = "two.toml"',
        one=layout("Vn I", "[[with]]", 'from = "Pad"', f'to = "{before}"'),
        two=layout(after, *more),
    )
    late = [one.place for one in made.report.findings if one.rule == "enters-late"]
    return said(made.score)["Vc"], [f"{one.share} {one.section}".strip() for one in late]


FREE = 'G3w~ | rh "div." B4q C5q & G3w | '


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ("half Vc loco", "half Vc loco", ('"half" ', '"half" ')),
        ("half Vc loco", "third Vc loco", ('"half" ', '"a third" ')),
        ("third Vc loco", "half Vc loco", ('"a third" ', '"half" ')),
        ("desk 1 Vc loco", "desk 2 Vc loco", ('"desk 1" ', '"desk 2" ')),
        ("desk 1 Vc loco", "half Vc loco", ('"desk 1" ', '"half" ')),
        # of ten cellos five sit at the last desks, and who is at the first is free
        ("half Vc loco", "desk 1 Vc loco", ('"half" ', '"desk 1" ')),
        ("half Vc loco", "solo Vc loco", ('"half" ', '"solo" ')),
    ],
)
def test_those_who_do_not_hold_begin_at_once(
    before: str, after: str, words: tuple[str, str]
) -> None:
    assert handed_on(before, after) == (f"{words[0]}{FREE}{words[1]}D5w", [])


@pytest.mark.parametrize(
    ("before", "after", "late"),
    [
        ("Vc loco", "half Vc loco", "half Vc"),
        ("half Vc loco", "Vc loco", "Vc"),
        ("desk 1 Vc loco", "desk 1 Vc loco", "desk 1 Vc"),
        ("desk 1 Vc loco", "desks 1-2 Vc loco", "desks 1-2 Vc"),
        ("solo Vc loco", "desk 1 Vc loco", "desk 1 Vc"),
    ],
)
def test_who_holds_a_note_waits_for_its_end(before: str, after: str, late: str) -> None:
    cellos, entering = handed_on(before, after)
    assert entering == [late]
    assert [bar.split(" ")[-1] for bar in cellos.split(" | ")] == ["G3w~", "G3w", "D5w"]


def test_nobody_plays_two_lines() -> None:
    """Half the cellos are free: they have the upper line; the lower waits."""
    cellos, entering = handed_on("half Vc loco", "half Vc loco / half Vc")
    assert entering == ["half Vc"]
    assert cellos.split(" | ")[1] == 'rh "div." B4q C5q & G3w'


def test_a_held_note_that_lies_higher_is_the_upper_voice() -> None:
    cellos, entering = handed_on("half Vc loco", "half Vc 15mb", pad="4/4 | G3w~ | G3w | C3w |")
    assert entering == []
    first, second, third = cellos.split(" | ")
    assert (first, third) == ('"half" G3w~', '"half" D3w')
    assert second.startswith("G3w & ")
    assert second.endswith("B2q C3q")
    assert '"div."' in second


def test_both_halves_holding_leave_nobody() -> None:
    made = by_plan(
        sketch(
            TUNE, others={"Pad": PAD, "Low": "4/4 | C3w~ | C3w | C3w |"}, tune="Melody"
        ),
        'from = "1"\nto = "2 beat 2"\nlayout = "one.toml"',
        'from = "2 beat 3"\nto = "end"\nstack = "half Vc loco"',
        one=layout(
            "Vn I", "[[with]]", 'from = "Pad"', 'to = "half Vc loco"',
            "[[with]]", 'from = "Low"', 'to = "half Vc loco"',
        ),
    )  # fmt: skip
    (late,) = (one for one in made.report.findings if one.rule == "enters-late")
    assert (
        late.text == "still holds a note of the passage before; 2 notes left out until it ends"
    )


def test_a_section_whose_notes_end_at_the_border_is_free() -> None:
    cellos, entering = handed_on("Vc loco", "half Vc loco", pad="4/4 | G3w~ | G3h C3h | C3w |")
    assert (cellos, entering) == ('G3w~ | G3h "half" B4q C5q | D5w', [])
