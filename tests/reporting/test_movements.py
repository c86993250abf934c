"""Bars of a sketch whose numbers begin again are named with their movement, wherever shown."""

import re

import pytest

import rewriter
from rewriter.problems import Refused
from rewriter.reporting.text import as_text
from tests.planned import by_layout, by_plan, layout
from tests.shorthand import sketch

TWO = "4/4 bar=1 | A4w | bar=2 C5w | bar=3 E5w | bar=1 A4w | bar=2 E5w | bar=3 B4w |"


def headings(made: rewriter.Expansion) -> list[str]:
    text = as_text(made.report, "strings.musicxml", 100)
    return re.findall(r"^((?:Movement|Bar).*?)  +Vn I", text, re.MULTILINE)


def test_passages_are_headed_by_their_movements() -> None:
    made = by_plan(
        sketch(TWO),
        'bars = "1(1)-2(1)"\nstack = "Vn I loco"',
        'from = "3(1)"\nto = "1(2)"\nstack = "Vn I loco + Vla"',
        'from = "2(2)"\nto = "2(2)"\nstack = "Vn I loco"',
    )
    assert headings(made) == [
        "Movement 1, bars 1-2", "Movement 1, bar 3, to movement 2, bar 1", "Movement 2, bar 2",
    ]  # fmt: skip
    passages = [(one.bars, one.movement, one.to_movement) for one in made.report.passages]
    assert passages == [("1-2", 1, 1), ("3-1", 1, 2), ("2", 2, 2)]
    assert made.report.remarks == ["movement 2, bar 3 is in no passage: everybody rests"]


def test_the_ends_of_a_compass_are_in_their_movements() -> None:
    made = rewriter.expand(sketch(TWO), "Vn I loco")
    (line,) = made.report.lines
    assert line.lowest
    assert line.highest
    assert (line.lowest.bars, line.lowest.movements) == (["1", "1"], [1, 2])
    assert (line.highest.bars, line.highest.movements) == (["3", "2"], [1, 2])
    text = as_text(made.report, "strings.musicxml", 140)
    assert "A4  movement 1, bar 1; movement 2, bar 1" in text


def test_one_movement_is_not_named() -> None:
    made = rewriter.expand(sketch("4/4 | A4w | C5w | E5w |"), "Vn I loco")
    (line,) = made.report.lines
    assert line.lowest
    assert line.lowest.movements == []
    assert "ovement" not in as_text(made.report, "strings.musicxml", 100)


@pytest.mark.parametrize(
    ("passage", "said"),
    [
        (
            'bars = "1"\nstack = "Vn I"',
            "2 bars are numbered 1; say which: 1(1) in movement 1, 1(2) in movement 2",
        ),
        (
            'bars = "9"\nstack = "Vn I"',
            "there is no bar 9; bars go from 1 to 3 in movement 1, from 1 to 3 in movement 2",
        ),
        (
            'from = "2(2) beat 7"\nto = "end"\nstack = "Vn I"',
            "movement 2, bar 2 has no beat 7; its beats are 1 to 4",
        ),
        (
            'from = "2(2)"\nto = "end"\nstack = "Vn I"\nkey = "A minor"',
            "movement 2, bar 2 is in C major, and moving keeps the mode; write A for A major",
        ),
    ],
)
def test_refusals_of_a_plan_name_the_movement(passage: str, said: str) -> None:
    with pytest.raises(Refused) as refused:
        by_plan(sketch(TWO.replace("4/4", "4/4 key=0,major", 1)), passage)
    assert str(refused.value).endswith(said)


def test_a_sketch_that_is_refused_is_refused_at_its_movement() -> None:
    bad = sketch(TWO).replace(b"<step>B</step>", b"<step>H</step>")
    with pytest.raises(Refused) as refused:
        rewriter.expand(bad, "Vn I loco")
    assert refused.value.place == "Flute, movement 2, bar 3"


def test_a_handover_into_the_next_movement_says_so() -> None:
    text = layout(
        "Vc loco", '[line."Vc"]', 'handover = { above = "C4", to = "Vla", at = "bar" }'
    )
    made = by_layout(sketch(TWO), text)
    said = [one.text for one in made.report.findings if "movement 2, bar" in one.text]
    assert said, made.report.findings
