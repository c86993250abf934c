"""A few bars counted in quarters, worked out by hand; of the others only divisions count."""

from fractions import Fraction

import pytest

from rewriter.scores.quarters import BarInQuarters, in_quarters
from rewriter.scores.score import Part


def note(duration: str, *, chord: bool = False) -> str:
    pitch = "<pitch><step>C</step><octave>4</octave></pitch>"
    return f"<note>{'<chord/>' * chord}{pitch}<duration>{duration}</duration></note>"


def divisions(count: str) -> str:
    return f"<attributes><divisions>{count}</divisions></attributes>"


def read(*bars: str, wanted: set[int]) -> dict[int, BarInQuarters]:
    written = [f"<measure>{bar}</measure>".encode() for bar in bars]
    return in_quarters(Part("P1", None, written), wanted)


def test_divisions_of_a_bar_that_is_not_read_count_in_those_that_are() -> None:
    found = read(divisions("4") + note("4"), note("6") + note("2"), wanted={1, 9})
    assert list(found) == [1]
    bar = found[1]
    assert [(bar.onset(e), bar.length(e)) for e in bar.events] == [
        (0, Fraction(3, 2)),
        (Fraction(3, 2), Fraction(1, 2)),
    ]
    assert (bar.end, bar.left_off, bar.divisions) == (2, 2, 4)


def test_divisions_that_change_within_a_bar_hold_from_there() -> None:
    bar = read(divisions("2") + note("2") + divisions("6") + note("3"), wanted={0})[0]
    assert [bar.onset(e) for e in bar.events] == [0, 0, 1, 1]
    assert [bar.divisions_at(place) for place in range(4)] == [2, 2, 6, 6]
    assert bar.divisions == 6
    assert bar.end == Fraction(3, 2)


@pytest.mark.parametrize(
    ("moves", "left_off", "end"),
    [
        ("", 4, 4),
        ("<backup><duration>3</duration></backup>", 1, 4),
        ("<backup><duration>9</duration></backup>", 0, 4),
        ("<forward><duration>2</duration></forward>", 6, 6),
        (note("1", chord=True), 4, 4),
    ],
)
def test_where_time_stands_at_the_end_and_how_far_it_came(
    moves: str, left_off: int, end: int
) -> None:
    bar = read(divisions("1") + note("4") + moves, wanted={0})[0]
    assert (bar.left_off, bar.end) == (left_off, end)


def test_a_bar_of_nothing_leaves_off_where_it_begins() -> None:
    bar = read(divisions("1"), wanted={0})[0]
    assert (bar.left_off, bar.end) == (0, 0)


def test_lengths_that_no_divisions_of_the_file_hold_are_exact() -> None:
    bar = read(divisions("3") + note("0.5") + note("1.25"), wanted={0})[0]
    assert [bar.length(e) for e in bar.events[1:]] == [Fraction(1, 6), Fraction(5, 12)]


def test_line_breaks_between_elements_are_nothing() -> None:
    bar = read("\n" + divisions("1") + "\n" + note("2") + "\n" + note("1") + "\n", wanted={0})[
        0
    ]
    assert [e.tag for e in bar.events] == ["attributes", "note", "note"]
    assert bar.end == 3
