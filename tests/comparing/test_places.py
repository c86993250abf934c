"""Points of compared scores as places: beats of the printed metre, upbeats, movements."""

import pytest

from rewriter.comparing.comparison import compare
from rewriter.comparing.places import ScorePlaces
from rewriter.comparing.things import HEADING, Point
from rewriter.problems import Place
from rewriter.scores.score import read_score
from tests.shorthand import sketch


def places(data: bytes) -> ScorePlaces:
    score = read_score(data)
    found = compare(score, score)
    assert found.divisions == 2
    return ScorePlaces(score, found.in_a, found.divisions)


@pytest.mark.parametrize(
    ("music", "point", "wanted"),
    [
        ("3/4 pickup bar=0 C5q | D5e E5e E5h", Point(0), ("0", 1, "3", "0")),
        ("3/4 pickup bar=0 C5q | D5e E5e E5h", Point(1, 1), ("1", 2, "1.5", "1.5")),
        ("6/8 C5q. D5e E5q", Point(0, 3), ("1", 1, "4", "1.5")),
        ("2/2 C5e D5e E5h.", Point(0, 2), ("1", 1, "1.5", "1")),
        ("4/4 C5e D5e E5h. | bar=12a C5w", Point(1, 0), ("12a", 2, "1", "4")),
    ],
)
def test_bar_and_beat(music: str, point: Point, wanted: tuple[str, int, str, str]) -> None:
    bar, counted, beat, moment = wanted
    assert places(sketch(music)).at(point, 0, "1") == Place(
        part="P1", voice="1", bar=bar, bar_counted=counted, beat=beat, moment=moment
    )


def test_the_rest_of_a_divided_bar_goes_on_counting() -> None:
    data = sketch("4/4 C5e D5e E5q | pickup bar=X1 F5h | G5w")
    assert places(data).at(Point(1, 0), None).beat == "3"


def test_movements_are_told_apart() -> None:
    data = sketch("4/4 C5e D5e E5h. | bar=2 C5w | bar=1 C5w")
    assert places(data).at(Point(2), None).movement == 2
    assert places(data).at(Point(0), None).movement == 1


def test_a_heading_is_in_no_bar() -> None:
    assert places(sketch("4/4 C5e D5e E5h.")).at(Point(HEADING), 0) == Place(part="P1")
