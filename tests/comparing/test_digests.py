"""Bars in short, and one bar against another."""

import pytest

from rewriter.comparing.contents import contents
from rewriter.comparing.digests import as_it_sounds, rhythm_and_contour
from rewriter.comparing.parts import bar_differences
from rewriter.comparing.things import Bar
from rewriter.scores.events import common_divisions
from rewriter.scores.score import read_score
from tests.shorthand import sketch


def bars(text: str) -> list[Bar]:
    part = read_score(sketch(text)).parts[0]
    return contents(part, 12).bars


@pytest.mark.parametrize(
    ("text", "alike"),
    [
        ("4/4 C5q E5 D5h | C5q^accent E5 (D5h)", {"sounds", "contour"}),
        ("4/4 C5q E5 D5h | C5q Fb5 D5h", {"sounds", "contour"}),
        ("4/4 C5q E5 D5h | D5q F5 E5h", {"contour"}),
        ("4/4 C5q E5 D5h | C5q G5 D5h", {"contour"}),
        ("4/4 C5q E5 D5h | C5q E5 F5h", set()),
        ("4/4 C5q E5 D5h | C5h E5q D5q", set()),
        ("4/4 C5q E5 D5h | C5q E5 D5h~", {"contour"}),
        ("4/4 C5q `G5s E5q D5h | C5q E5 D5h", {"sounds", "contour"}),
    ],
)
def test_two_bars(text: str, alike: set[str]) -> None:
    one, two = bars(text)
    found = {"sounds"} if as_it_sounds(one) == as_it_sounds(two) else set()
    found |= {"contour"} if rhythm_and_contour(one) == rhythm_and_contour(two) else set()
    assert found == alike


def test_one_bar_against_another_that_stands_elsewhere() -> None:
    text = "4/4 R | (C5q D5 E5 F5 | G5w) | R | (C5q D5 E5 F5 | G5h) A5h | (C5q D5 E5 F5) | R"
    part = read_score(sketch(text)).parts[0]
    whole = contents(part, common_divisions([part]))
    assert bar_differences(whole, 1, whole, 4) == []
    kinds = [one.kind for one in bar_differences(whole, 1, whole, 6)]
    assert kinds == ["slur"]  # begins alike, ends within the bar
    assert len(bar_differences(whole, 1, whole, 3)) == 5
