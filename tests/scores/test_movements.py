"""Movements told apart, and the three ways to name a bar."""

import pytest

from rewriter.scores.movements import Place, movement_starts, place_of
from rewriter.scores.score import Part, read_score
from tests.plain_xml import bar_of, direction, note, score

FINAL = '<barline location="right"><bar-style>light-heavy</bar-style></barline>'
REPEAT = (
    '<barline location="right"><bar-style>light-heavy</bar-style>'
    '<repeat direction="backward"/></barline>'
)
TITLE = '<print new-page="yes"/>' + direction("<words>II. Slowly</words>")


def part(*bars: tuple[str, str]) -> Part:
    whole = [f'<measure number="{number}">{content}</measure>' for number, content in bars]
    return read_score(score(whole)).parts[0]


def numbered(*numbers: str) -> Part:
    return part(*((number, bar_of(note("A4", 8))) for number in numbers))


@pytest.mark.parametrize(
    ("numbers", "starts"),
    [
        ("1 2 3 1 2", [0, 3]),
        ("0 1 2 0 1", [0, 3]),
        ("1 2 X1 3", [0]),
        ("1 2 2 3", [0]),
        ("5 6 7", [0]),
        ("1 2 1 2 1 2", [0, 2, 4]),
        ("0 1", [0]),
    ],
)
def test_numbers_that_begin_again(numbers: str, starts: list[int]) -> None:
    assert movement_starts(numbered(*numbers.split())) == starts


@pytest.mark.parametrize(
    ("end", "head", "starts"),
    [(FINAL, TITLE, [0, 1]), (FINAL, "", [0]), ("", TITLE, [0]), (REPEAT, TITLE, [0])],
)
def test_a_title_behind_a_final_barline(end: str, head: str, starts: list[int]) -> None:
    first = bar_of(note("A4", 8)) + end
    assert movement_starts(part(("1", first), ("2", head + note("A4", 8)))) == starts


def test_a_bar_by_its_place() -> None:
    found = numbered("1", "2", "1", "2")
    starts = movement_starts(found)
    assert place_of(found, starts, 1) == Place(1, "2", 2)
    assert place_of(found, starts, 3) == Place(2, "2", 4)
