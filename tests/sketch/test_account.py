"""What the report says of the tune's chords, where passages settle them in their own ways."""

from tests.planned import by_layout, by_plan, layout, said
from tests.shorthand import sketch

MUSIC = "4/4 | [C5 E5]w^accent | C5w | [D5 F5]h^accent [E5 G5]h | [C5 E5]w |"


def test_each_passage_by_its_own_setting() -> None:
    made = by_plan(
        sketch(MUSIC),
        'bars = "1-2"\nstack = "Vn I loco"\nchords = "top"',
        'bars = "3"\nstack = "Vn I loco"\nchords = "divide"',
        'bars = "4"\nstack = "Vn I loco"',
    )
    assert said(made.score)["Vn I"] == 'E5w | C5w | "div." D5+F5h E5+G5h | "unis." E5w'
    assert made.report.remarks == [
        "2 chords in the tune, bars 1-2, 4: their top notes are played",
        "2 chords in the tune, bar 3: each is divided in the section",
    ]
    assert made.report.dropped == {"lower notes of chords": 2}


def test_the_layouts_setting_holds_where_the_passage_has_none() -> None:
    made = by_plan(
        sketch(MUSIC),
        'bars = "1-2"\nstack = "Vn I loco"',
        'bars = "3-4"\nlayout = "all.toml"',
        all='chords = "divide"\n' + layout("Vn I loco"),
    )
    assert made.report.remarks == [
        "1 chord in the tune, bars 1-2: their top notes are played",
        "3 chords in the tune, bars 3-4: each is divided in the section",
    ]
    assert made.report.dropped == {"lower notes of chords": 1}


def test_one_setting_everywhere_needs_no_bars() -> None:
    made = by_plan(
        sketch(MUSIC),
        'bars = "1-2"\nstack = "Vn I loco"\nchords = "divide"',
        'bars = "3-4"\nstack = "Vla loco"\nchords = "divide"',
    )
    assert made.report.remarks == ["4 chords in the tune: each is divided in the section"]
    assert made.report.dropped == {}


def test_chords_of_bars_in_no_passage_are_not_said_to_be_played() -> None:
    made = by_plan(sketch(MUSIC), 'bars = "1-2"\nstack = "Vn I loco"')
    assert made.report.remarks == [
        "1 chord in the tune: their top notes are played",
        "bars 3-4 are in no passage: everybody rests",
    ]


def test_dealt_chords_weigh_what_each_line_has_of_them() -> None:
    """The shipped file has A4 in the violas' alto, G3 in their tenor and in the cellos'."""
    data = sketch("4/4 | C5w |", tune="Melody", others={"Pad": "4/4 | [G3 A4]w |"})
    text = layout(
        "Vn I loco", "[[with]]", 'from = "Pad"', 'to = "Vla loco + Vc"', 'chords = "divide"'
    )
    lines = {line.section: line for line in by_layout(data, text).report.lines}
    assert (lines["Vla"].sings, lines["Vc"].sings) == (1.0, 1.0)
    text = text.replace("Vla loco + Vc", "Vn II loco + Vla")
    lines = {line.section: line for line in by_layout(data, text).report.lines}
    assert (lines["Vn II"].sings, lines["Vla"].sings) == (1.0, 0.8)
