"""Keys asked for: the mode is kept, and where a sketch says none, that is told."""

import re

import pytest

import rewriter
from tests.planned import by_plan
from tests.shorthand import sketch


@pytest.mark.parametrize(
    ("key", "remarks"),
    [
        ("key=1", ["the sketch does not say whether it is major or minor; major is assumed"]),
        ("key=1,major", []),
    ],
)
def test_a_key_without_a_mode_is_remarked_on_where_another_is_wanted(
    key: str, remarks: list[str]
) -> None:
    made = rewriter.expand(sketch(f"4/4 {key} | G4w |"), "Vn I loco", key="D")
    assert made.report.remarks == remarks


@pytest.mark.parametrize(
    ("asked", "remark", "heard"),
    [
        ("G minor", "minor is assumed", "C5"),  # taken for D minor: up a fourth
        ("g-Moll", "minor is assumed", "C5"),
        ("G", "major is assumed", "A4"),  # taken for F major: up a tone
    ],
)
def test_the_key_asked_for_says_the_mode_a_sketch_does_not(
    asked: str, remark: str, heard: str
) -> None:
    made = rewriter.expand(sketch("4/4 key=-1 | G4w |"), "Vn I loco", key=asked)
    assert made.report.remarks == [
        f"the sketch does not say whether it is major or minor; {remark}"
    ]
    assert made.report.lines[0].highest.pitch == heard


@pytest.mark.parametrize(
    ("key", "asked", "is_in", "write"),
    [
        ("key=2,major", "G minor", "D major", "G for G major"),
        ("key=2,major", "H-Moll", "D major", "B for B major"),
        ("key=0,minor", "Es-Dur", "A minor", "Eb for Eb minor"),
        ("key=0,dorian", "E minor", "D dorian", "E for E dorian"),
    ],
)  # fmt: skip
def test_a_key_of_another_mode_is_refused(key: str, asked: str, is_in: str, write: str) -> None:
    with pytest.raises(rewriter.Refused) as refused:
        rewriter.expand(sketch(f"4/4 {key} | G4w |"), "Vn I loco", key=asked)
    assert str(refused.value) == (
        f"sketch: bar 1 is in {is_in}, and moving keeps the mode; write {write}"
    )


def test_a_passage_in_a_key_of_another_mode_is_refused() -> None:
    with pytest.raises(rewriter.Refused) as refused:
        by_plan(
            sketch("4/4 key=2,major | G4w | A4w |"),
            'bars = "1"\nstack = "Vn I loco"',
            'bars = "2"\nstack = "Vn I loco"\nkey = "G minor"',
        )
    assert re.sub(r"^.*plan\.toml", "plan.toml", str(refused.value)) == (
        "plan.toml: passage 2: bar 2 is in D major, and moving keeps the mode; "
        "write G for G major"
    )


@pytest.mark.parametrize(
    ("by", "direction", "heard"),
    [("M3", "down", "Eb4"), ("down M3", "down", "Eb4"), ("M3 up", "up", "B4")],
)
def test_an_interval_goes_the_way_that_is_said(by: str, direction: str, heard: str) -> None:
    made = rewriter.expand(sketch("4/4 | G4w |"), "Vn I loco", by=by, direction=direction)
    assert made.report.lines[0].highest.pitch == heard


def test_an_interval_that_says_another_way_is_refused() -> None:
    with pytest.raises(rewriter.Refused) as refused:
        rewriter.expand(sketch("4/4 | G4w |"), "Vn I loco", by="up M3", direction="down")
    assert str(refused.value) == (
        'sketch: "up M3" goes up, and down is asked for; keep one of the two'
    )
