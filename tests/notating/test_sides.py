"""Two lines on one staff: the upper's signs above, the lower's below, equal ones once."""

from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.outside.heard import heard_by_music21, heard_by_partitura, heard_by_verovio
from tests.outside.reference import heard_by_reference, score_root
from tests.outside.schema import assert_valid
from tests.outside.spans import spanner_faults, voice_faults
from tests.planned import by_layout, by_plan, layout, said
from tests.shorthand import sketch

TUNE = "4/4 | C6w | C6w | C6w | C6w |"
BOTH = layout(
    "Vn II loco",
    *("[[with]]", 'from = "High"', 'to = "half Vn I loco"'),
    *("[[with]]", 'from = "Low"', 'to = "half Vn I loco"'),
)
ONE = layout("Vn II loco", "[[with]]", 'from = "High"', 'to = "Vn I loco"')


class Told(NamedTuple):
    """A direction: bar, what it says, side and voice, empty where it does not say."""

    bar: str
    says: str
    side: str
    voice: str


def told(score: bytes) -> list[Told]:
    """Every direction of the first violins but the words for who plays."""
    found = []
    for measure in score_root(score).findall("part")[0].findall("measure"):
        for one in measure.findall("direction"):
            side, voice = one.get("placement", ""), one.findtext("voice", "")
            for sign in one.iterfind("direction-type/*"):
                says = sign.text or " ".join(str(mark.tag) for mark in sign) or sign.get("type")
                if says not in {"div.", "unis."}:
                    found.append(Told(measure.get("number", ""), str(says), side, voice))
    return found


def both(high: str, low: str) -> bytes:
    """Two accompaniments in the halves of the first violins, checked by the schema."""
    data = sketch(
        TUNE, tune="Melody", others={"High": f"4/4 | {high} |", "Low": f"4/4 | {low} |"}
    )
    score = by_layout(data, BOTH).score
    assert_valid(score)
    assert spanner_faults(score) == voice_faults(score) == []
    return score


REST = "A4w | A4w | A4w"
UNDER = "D4h D4 | D4h D4 | D4h D4"


@pytest.mark.parametrize(
    ("high", "low", "expected"),
    [
        ("p A4w", "p D4h D4", [("p", "", "")]),
        ("p A4w", "f D4h D4", [("p", "above", "1"), ("f", "below", "2")]),
        ("p A4w", "D4h p D4", [("p", "above", "1"), ("p", "below", "2")]),
        ('"dolce" A4w', '"marc." D4h D4', [("dolce", "above", "1"), ("marc.", "below", "2")]),
        ("A4w", "mf D4h D4", [("mf", "below", "2")]),
    ],
)
def test_in_voices(high: str, low: str, expected: list[tuple[str, str, str]]) -> None:
    score = both(f"{high} | {REST}", f"{low} | {UNDER}")
    assert [one[1:] for one in told(score)] == expected


@pytest.mark.parametrize(
    ("high", "low", "expected"),
    [
        ("p A4h B4", "p D4h D4", [("p", "", "")]),
        ("p A4h B4", "f D4h D4", [("f", "below", "1"), ("p", "above", "1")]),
        ("< A4h B4 !", "< D4h D4 !", [("crescendo", "", ""), ("stop", "", "")]),
    ],
)
def test_on_one_stem(high: str, low: str, expected: list[tuple[str, str, str]]) -> None:
    score = both(f"{high} | {REST}", f"{low} | D4w | D4w | D4w")
    assert "&" not in said(score)["Vn I"]
    assert sorted(one[1:] for one in told(score)) == sorted(expected)


def test_hairpins_that_begin_together_and_end_apart_are_two() -> None:
    score = both("< A4q B4 ! A4 B4 | " + REST, "< D4h D4 ! | " + UNDER)
    assert [one[1:] for one in told(score)] == [
        ("crescendo", "above", "1"),
        ("stop", "above", "1"),
        ("crescendo", "below", "2"),
        ("stop", "below", "2"),
    ]


def within_bars(high: str, low: str) -> bytes:
    """The section divides from the middle of bar 2 to the middle of bar 3."""
    data = sketch(
        TUNE, tune="Melody", others={"High": f"4/4 | {high} |", "Low": f"4/4 | {low} |"}
    )
    score = by_plan(
        data,
        'from = "1"\nto = "2 beat 2"\nlayout = "one.toml"',
        'from = "2 beat 3"\nto = "3 beat 2"\nlayout = "both.toml"',
        'from = "3 beat 3"\nto = "end"\nlayout = "one.toml"',
        one=ONE,
        both=BOTH,
    ).score
    assert_valid(score)
    assert spanner_faults(score) == voice_faults(score) == []
    return score


HIGH = "A4w | A4q B4 C5 B4 | A4q B4 C5 B4 | A4w"


def test_a_division_within_bars_shows_no_rests_under_what_all_play() -> None:
    score = within_bars(HIGH, "D4w | D4h E4 | F4h E4 | D4w")
    assert said(score)["Vn I"] == (
        'A4w | A4q B4q "div." C5q B4q & E4h | A4q B4q "unis." C5q B4q & F4h | A4w'
    )
    for heard in (heard_by_music21, heard_by_partitura, heard_by_verovio):
        assert heard(score) == heard_by_reference(score)


def test_a_division_within_bars_of_one_rhythm_begins_on_the_stem() -> None:
    score = within_bars(HIGH, "D4w | D4q D4 E4 E4 | F4q F4 E4 E4 | D4w")
    assert said(score)["Vn I"] == (
        'A4w | A4q B4q "div." C5+E4q B4+E4q | A4+F4q B4+F4q "unis." C5q B4q | A4w'
    )


def test_what_all_are_told_before_the_division_is_on_no_side() -> None:
    high = "A4w | p A4q B4 f C5 B4 | A4q B4 mp C5 B4 | A4w"
    score = within_bars(high, "D4w | D4h mf E4 | F4h E4 | D4w")
    assert [one[1:] for one in told(score)] == [
        ("p", "", ""),
        ("f", "above", "1"),
        ("mf", "below", "2"),
        ("mp", "", ""),
    ]


def test_a_hairpin_into_the_division_is_the_upper_lines() -> None:
    high = "A4w | < A4q B4 C5 B4 ! | A4q B4 C5 B4 | A4w"
    score = within_bars(high, "D4w | D4h mf E4 | F4h E4 | D4w")
    assert [one.side for one in told(score) if one.says in {"crescendo", "stop"}] == [
        "above"
    ] * 2


MARKS = st.lists(st.sampled_from(["", "p", "f"]), min_size=4, max_size=4)


@given(MARKS, MARKS)
def test_every_dynamic_stands_once_for_all_or_on_its_line_s_side(
    high: list[str], low: list[str]
) -> None:
    """One half moves in whole notes, the other in halves; marks begin a bar."""
    upper = " | ".join(f"{mark} A4w" for mark in high)
    lower = " | ".join(f"{mark} D4h D4" for mark in low)
    expected = []
    for bar, (one, other) in enumerate(zip(high, low, strict=True), start=1):
        if one and one == other:
            expected.append(Told(str(bar), one, "", ""))
        else:
            expected += [Told(str(bar), one, "above", "1")] if one else []
            expected += [Told(str(bar), other, "below", "2")] if other else []
    assert told(both(upper, lower)) == expected
