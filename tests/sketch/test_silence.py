"""Dynamics and hairpins stand where a voice begins to sound (common practice, no source)."""

import pytest

import rewriter
from tests.outside.schema import assert_valid
from tests.outside.spans import spanner_faults
from tests.planned import by_plan, layout, said
from tests.shorthand import sketch


@pytest.mark.parametrize(
    ("music", "violins"),
    [
        ("p R | R | C5h D5h", "R | R | p C5h D5h"),
        ("p rh C5h | D5w", "rh p C5h | D5w"),
        ("p R | mf R | C5w", "R | R | mf C5w"),
        ("p R | mf C5w", "R | mf C5w"),
        ("p R | sfz C5w", "R | sfz p C5w"),
        ('p "dolce" R | f C5w', '"dolce" R | f C5w'),
        ("C5w | f R | R", "C5w | f R | R"),  # nobody enters: it stays where the sketch has it
        ("< R | C5h ! D5h", "R | < C5h ! D5h"),
        ("< R | ! C5h D5h", "R | C5h D5h"),
        ("< rh ! rh | C5h D5h", "rh rh | C5h D5h"),
        ("C5h < D5h | ! R | C5w", "C5h < D5h | ! R | C5w"),
        ("C5h > D5h | ! pp R | C5w", "C5h > D5h | ! pp R | C5w"),
        ("C5h > D5h | ! R | pp R | C5w", "C5h > D5h | ! R | R | pp C5w"),
        ("f R | p rh < rh | C5h ! D5h", "R | rh rh | p < C5h ! D5h"),
        ("p R | `C5e D5w", "R | p C5e D5w"),
    ],
)
def test_they_move_to_the_entry(music: str, violins: str) -> None:
    made = rewriter.expand(sketch(f"4/4 {music} |"), "Vn I loco")
    assert_valid(made.score)
    assert spanner_faults(made.score) == []
    assert said(made.score)["Vn I"] == violins


def test_what_is_overtaken_is_counted_as_dropped() -> None:
    report = rewriter.expand(sketch("4/4 p R | mf < R | ! C5w | f D5w |"), "Vn I").report
    assert report.kept["dynamics"] == 2
    assert "hairpins" not in report.kept
    assert (report.dropped["dynamics"], report.dropped["hairpins"]) == (1, 1)


def test_a_new_passage_says_them_at_its_first_note() -> None:
    tune = sketch("4/4 p C5w | D5w | rh E5h | R | F5w |")
    made = by_plan(
        tune, 'bars = "1-2"\nstack = "Vn I loco"', 'bars = "3-5"\nstack = "Vn II loco"'
    ).score
    assert said(made)["Vn II"] == "R | R | rh p E5h | R | F5w"


def test_a_passage_of_rests_says_nothing() -> None:
    tune = sketch("4/4 p C5h < D5h | R | ! E5h F5h |")
    made = by_plan(
        tune,
        'bars = "1"\nstack = "Vn I loco"',
        'bars = "2"\nstack = "Vla loco"',
        'bars = "3"\nstack = "Vc loco"',
    ).score
    assert spanner_faults(made) == []
    assert said(made)["Vla"] == "R | R | R"


def test_a_dynamic_of_the_layout_stands_at_the_entry() -> None:
    loud = layout("Vn I loco", '[line."Vn I"]', 'dynamic = "ff"')
    made = by_plan(
        sketch("4/4 p C5w | R | E5w |"),
        'bars = "1"\nstack = "Vc loco"',
        'bars = "2-3"\nlayout = "loud.toml"',
        loud=loud,
    ).score
    assert said(made)["Vn I"] == "R | R | ff E5w"


def test_a_hairpin_over_a_border_is_begun_again_at_the_entry() -> None:
    tune = sketch("4/4 p C5h < D5h | rh E5h | ! F5w |")
    made = by_plan(
        tune, 'bars = "1"\nstack = "Vn I loco"', 'bars = "2-3"\nstack = "Vn II loco"'
    ).score
    assert spanner_faults(made) == []
    assert said(made)["Vn II"] == "R | rh p < E5h | ! F5w"
