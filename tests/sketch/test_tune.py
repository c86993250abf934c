"""Which staff of a sketch is the tune, branch by branch."""

import pytest

import rewriter
from tests.plain_xml import bar_of, note, parts_of, score, spelled
from tests.shorthand import sketch

PIANO = ("4/4 | C5w |", "4/4 | C3w |")


def tune_of(data: bytes, tune: str = "") -> tuple[str, list[str]]:
    """What is said of the tune, and the pitches that are played."""
    made = rewriter.expand(data, "Vn I loco", tune=tune)
    return made.report.tune, spelled(parts_of(made.score)[0])


def refusal(data: bytes, tune: str = "") -> str:
    with pytest.raises(rewriter.Refused) as caught:
        rewriter.expand(data, "Vn I loco", tune=tune)
    return str(caught.value)


def test_the_only_part_is_the_tune() -> None:
    assert tune_of(sketch("4/4 | A4w |")) == ('"Flute" (P1): the only part', ["A4"])


def test_of_the_only_part_on_two_staves_the_upper() -> None:
    said, pitches = tune_of(sketch(PIANO, tune="Piano"))
    assert said == '"Piano" (P1), staff 1, voice 1: the upper staff of the only part'
    assert pitches == ["C5"]


def test_the_only_part_on_one_staff_beside_a_keyboard() -> None:
    said, pitches = tune_of(sketch("4/4 | A4w |", others={"Piano": PIANO}))
    assert said == '"Flute" (P1): the only part on one staff'
    assert pitches == ["A4"]


@pytest.mark.parametrize(
    "name",
    # "a part named like a tune, in English, Italian, German and French"
    ["Melody", "The Tune", "THEME", "Lead", "Melodia", "Tema", "Canto", "Melodie", "Thema",
     "Weise", "Mélodie", "Me\u0301lodie", "Thème", "Chant"],
)  # fmt: skip
def test_a_part_named_like_a_tune(name: str) -> None:
    data = sketch("4/4 | A4w |", tune="Oboe", others={name: "4/4 | D5w |", "Piano": PIANO})
    said, pitches = tune_of(data)
    assert said == f'"{name}" (P2): named like a tune'
    assert pitches == ["D5"]


def test_a_name_that_only_contains_such_a_word_is_none() -> None:
    data = sketch("4/4 | A4w |", tune="Leader", others={"Themes of old": "4/4 | D5w |"})
    assert refusal(data) == (
        "sketch: no part is named like a tune; "
        'choose one with --tune: "Leader" (P1), "Themes of old" (P2)'
    )


def test_two_parts_named_like_a_tune_are_listed() -> None:
    data = sketch("4/4 | A4w |", tune="Melody", others={"Theme": "4/4 | D5w |"})
    assert refusal(data) == (
        "sketch: 2 parts are named like a tune; "
        'choose one with --tune: "Melody" (P1), "Theme" (P2)'
    )


@pytest.mark.parametrize("tune", ["Oboe", "oboe", ' "Oboe" ', "P2"])
def test_a_part_by_name_or_id(tune: str) -> None:
    data = sketch("4/4 | A4w |", others={"Oboe": "4/4 | D5w |"})
    assert tune_of(data, tune) == ('"Oboe" (P2): as asked for', ["D5"])


def test_an_id_goes_before_a_name() -> None:
    data = sketch("4/4 | A4w |", tune="P2", others={"Oboe": "4/4 | D5w |"})
    assert tune_of(data, "P2")[1] == ["D5"]


@pytest.mark.parametrize("tune", ["Voice 1", "Staff 2"])
def test_a_part_may_be_called_like_a_voice_or_staff(tune: str) -> None:
    data = sketch("4/4 | A4w |", tune="Oboe", others={tune: "4/4 | D5w |"})
    assert tune_of(data, tune)[1] == ["D5"]


def test_names_that_are_not_there_are_listed() -> None:
    data = sketch("4/4 | A4w |", others={"Oboe": "4/4 | D5w |"})
    assert refusal(data, "Obo") == (
        'sketch: no part is called "Obo"; choose one with --tune: "Flute" (P1), "Oboe" (P2)'
    )


def test_a_name_two_parts_share_is_no_choice() -> None:
    data = score({"Oboe": [bar_of(note("A4", 8))], "oboe": [bar_of(note("D5", 8))]})
    assert refusal(data, "Oboe") == 'sketch: 2 parts are called "Oboe"; choose one of P1, P2'


@pytest.mark.parametrize(
    ("tune", "wanted"),
    [
        ("P1 staff 1", "C5"),
        ("Piano staff 2", "C3"),
        ("P1 staff 2 voice 2", "C3"),
        ("staff 2", "C3"),
    ],
)
def test_staves_and_voices_by_number(tune: str, wanted: str) -> None:
    assert tune_of(sketch(PIANO, tune="Piano"), tune)[1] == [wanted]


@pytest.mark.parametrize(
    ("tune", "said"),
    [
        ("P1 staff 3", '"Piano" (P1) has no staff 3; it has 2; choose one with --tune'),
        ("P1 voice 7", '"Piano" (P1), staff 1 has no voice 7; it has 1'),
        ("P1 staff 2 voice 1", '"Piano" (P1), staff 2 has no voice 1; it has 2'),
    ],
)
def test_staves_and_voices_that_are_not_there(tune: str, said: str) -> None:
    assert refusal(sketch(PIANO, tune="Piano"), tune) == f"sketch: {said}"


def test_the_first_voice_is_the_tune_and_the_rest_is_reported() -> None:
    made = rewriter.expand(sketch("4/4 | A5w & F4h G4h |"), "Vn I loco")
    assert made.report.tune == '"Flute" (P1), voice 1: the only part'
    assert made.report.not_played == ['"Flute" (P1), staff 1, voice 2: 2 notes']


def test_a_voice_of_nothing_but_rests_is_nobodys() -> None:
    made = rewriter.expand(sketch("4/4 | A5w & rh rh |"), "Vn I loco")
    assert made.report.not_played == []
    assert refusal(sketch("4/4 | A5w & rh rh |"), "P1 voice 2").endswith("it has 1")


def test_the_only_voice_of_a_part_may_have_any_name() -> None:
    data = score([bar_of(note("A4", 8, voice="2"))])
    assert tune_of(data)[1] == tune_of(data, "P1 voice 2")[1] == ["A4"]
    assert refusal(data, "P1 voice 3").endswith("has no voice 3; it has 1")


def test_a_staff_without_notes_is_not_the_other_staff() -> None:
    data = score(
        [bar_of(note("A4", 8, "<staff>1</staff>"), attributes=(
            "<divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
            "<staves>2</staves>"
        ))]
    )  # fmt: skip
    assert refusal(data, "P1 staff 2") == (
        'sketch: "Flute" (P1), staff 2 has no notes; choose another with --tune'
    )


BACK = "<backup><duration>8</duration></backup>"
TWO_STAVES = (
    "<divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
    "<staves>2</staves>"
)


def on(staff: int, pitch: str, length: int, voice: str) -> str:
    return note(pitch, length, f"<staff>{staff}</staff>", voice=voice)


def test_a_voice_that_wanders_to_the_other_staff_is_one_tune() -> None:
    data = score(
        [
            bar_of(
                on(1, "C5", 4, "1"), on(2, "G3", 4, "1"), BACK, on(2, "C3", 8, "5"),
                attributes=TWO_STAVES,
            )
        ]
    )  # fmt: skip
    assert tune_of(data)[1] == ["C5", "G3"]


def test_a_voice_name_used_on_both_staves_means_two_voices() -> None:
    data = score(
        [bar_of(on(1, "C5", 8, "1"), BACK, on(2, "C3", 8, "1"), attributes=TWO_STAVES)]
    )
    assert tune_of(data)[1] == ["C5"]
    assert tune_of(data, "P1 staff 2")[1] == ["C3"]


def test_a_sketch_without_notes_says_so() -> None:
    assert refusal(score([bar_of(note("r", 8))])) == (
        'sketch: there is no note in "Flute" (P1); choose another with --tune'
    )
