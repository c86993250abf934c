"""Notes as people name them: printed bar, beat, spelled pitch."""

import pytest

import rewriter
from tests.shorthand import sketch


def places(music: str) -> list[tuple[str, str, str]]:
    """Bar, beat and name of each note below the violins' lowest string."""
    findings = rewriter.expand(sketch(music), "Vn I loco").report.findings
    return [
        (one.place.bar, one.place.beat, one.sounds)
        for one in findings
        if one.rule == "below-lowest-string"
    ]


@pytest.mark.parametrize(
    ("music", "wanted"),
    [
        ("4/4 | C4h F#3q. A4e |", ("1", "3", "F#3")),
        ("6/8 | C4q. Gb3e C4q |", ("1", "4", "Gb3")),  # a beat is the denominator: six in 6/8
        ("4/4 | C4q. Fn3e C4h |", ("1", "2.5", "F3")),
        ("4/4 | 3{ C4q C4q Ab2q } C4h |", ("1", "7/3", "Ab2")),
        ("3/4 pickup C3q | C4h. |", ("0", "3", "C3")),  # an upbeat ends the bar it lacks
        ("4/4 bar=12a | E3w |", ("12a", "1", "E3")),
    ],
)
def test_a_place(music: str, wanted: tuple[str, str, str]) -> None:
    assert places(music) == [wanted]


def test_names_are_by_sound() -> None:
    # written A flat 3 of a clarinet in B flat
    assert places("4/4 transpose=-1,-2 | Ab3w |") == [("1", "1", "Gb3")]


def test_a_tied_run_is_named_where_it_begins() -> None:
    assert places("4/4 | C4h E3h~ | E3w |") == [("1", "3", "E3")]
