"""Where findings are: printed and counted bars, exact beats, moments, parts and sections."""

import msgspec
import pytest

import rewriter
from rewriter.problems import Finding, Place
from tests.planned import by_layout, by_plan, layout
from tests.shorthand import sketch


def _places(made: rewriter.Expansion, rule: str) -> list[Place]:
    return [one.place for one in made.report.findings if one.rule == rule]


@pytest.mark.parametrize(
    ("music", "bar", "counted", "beat", "moment", "said"),
    [
        # An upbeat of one quarter, printed as 0, is the first bar of the file.
        ("3/4 pickup A4q | A4h. | E3h. |", "2", 3, "1", "4", "bar 2, beat 1"),
        ("4/4 | 3{ A4q A4q E3q } A4h |", "1", 1, "7/3", "4/3", "bar 1, beat 2.333"),
        ("6/8 | A4q. A4e E3q |", "1", 1, "5", "2", "bar 1, beat 5"),
        ("4/4 | A4w | 3/4 A4q. E3q. | A4h. |", "2", 2, "2.5", "5.5", "bar 2, beat 2.5"),
        ("4/4 bar=12a A4w | bar=X1 A4h E3h |", "X1", 2, "3", "6", "bar X1, beat 3"),
    ],
)
def test_a_place(music: str, bar: str, counted: int, beat: str, moment: str, said: str) -> None:
    made = rewriter.expand(sketch(music), "half Vn II loco")
    (place,) = _places(made, "below-lowest-string")
    assert place == Place(
        part="P2", section="Vn II", share="half", bar=bar, bar_counted=counted, beat=beat,
        moment=moment,
    )  # fmt: skip
    assert place.text == f"half Vn II, {said}"


TWO_MOVEMENTS = "4/4 | A4h E3h | A4w | bar=1 A4h E3h | bar=2 A4w | bar=3 E3h E3h |"


def test_where_bar_numbers_begin_again_a_bar_is_named_with_its_movement() -> None:
    made = rewriter.expand(sketch(TWO_MOVEMENTS), "Vn II loco")
    places = _places(made, "below-lowest-string")
    assert [place.text for place in places] == [
        "Vn II, movement 1, bar 1, beat 3",
        "Vn II, movement 2, bar 1, beat 3",
        "Vn II, movement 2, bar 3, beat 1",
    ]
    assert [(place.movement, place.bar_counted) for place in places] == [(1, 1), (2, 3), (2, 5)]


def test_in_another_key_movements_stay() -> None:
    made = by_plan(
        sketch(TWO_MOVEMENTS),
        'from = "1(1)"\nto = "2(1)"\nstack = "Vn II loco"\nby = "up m2"',
        'from = "1(2)"\nto = "end"\nstack = "Vn II loco"',
    )
    assert [one.movement for one in _places(made, "below-lowest-string")] == [1, 2, 2]


def test_bad_notes_in_bars_that_follow_each_other_are_one_finding() -> None:
    """Grace notes take no time, so both stand at the moment of the note they lead to."""
    music = "4/4 | `E3e `F3e A4w | A4h E3h | A4w | E3w |"
    found = rewriter.expand(sketch(music), "Vn II loco").report.findings
    assert [f"{one.place.text}: {one.text}" for one in found] == [
        "Vn II, bar 1, beat 1: E3 is below the lowest string (G3), and so are 2 more notes up "
        "to bar 2; move it up or give it to a lower section",
        "Vn II, bar 4, beat 1: E3 is below the lowest string (G3); move it up or give it to a "
        "lower section",
    ]


def test_a_fault_of_the_sketch_lies_in_a_part_and_voice_of_it_and_in_no_section() -> None:
    text = layout("Vn I loco", "[[with]]", 'from = "Pad"', 'to = "Vla loco"')
    data = sketch(
        "4/4 | C5w | D5w |", tune="Melody", others={"Pad": "4/4 | E4w | E4h D4 C4 B3 |"}
    )
    (place,) = _places(by_layout(data, text), "overlong-in-sketch")
    assert place == Place(part="P2", voice="1", bar="2", bar_counted=2, moment="4")


def test_of_a_section_on_two_staves_the_part_that_has_the_line() -> None:
    """The cellos' tune crosses their bass, so that the score has a second part for it."""
    text = layout("half Vc loco", "[[with]]", 'from = "Bass"', 'to = "half Vc loco"')
    data = sketch(
        "4/4 | C4w | E2w | C4w |", tune="Melody", others={"Bass": "4/4 | C3w | C3w | B1w |"}
    )
    made = by_layout(data, text)
    assert b'<part id="P4b">' in made.score
    (place,) = _places(made, "below-lowest-string")
    assert (place.part, place.section, place.share, place.bar) == ("P4b", "Vc", "half", "3")


def test_a_finding_reads_back_the_same() -> None:
    place = Place(part="P2", section="Vn II", share="half", bar="12a", bar_counted=13)
    finding = Finding(rule="beyond-range", severity="warning", text="so", place=place)
    assert msgspec.json.decode(msgspec.json.encode(finding), type=Finding) == finding
