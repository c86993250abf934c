"""Beams over a barline close where a line stops or starts there, and only there.

Values of beams: W3C MusicXML 4.0, beam-value. Beams over barlines: common practice since 1900
or so, no source.
"""

import pytest
from lxml import etree

from tests.outside.schema import assert_valid
from tests.outside.spans import spanner_faults
from tests.plain_xml import bar_of, note, parts_of, score
from tests.planned import by_layout, by_plan, layout

BEGIN, GO_ON, END = (
    f'<beam number="1">{value}</beam>' for value in ("begin", "continue", "end")
)
BARS = [
    bar_of(note("A4", 4), note("B4", 2), note("C5", 1, BEGIN), note("D5", 1, GO_ON)),
    bar_of(note("E5", 1, GO_ON), note("D5", 1, END), note("C5", 4), note("B4", 2)),
]


def beams(part: etree._Element) -> list[list[str]]:
    return [[one.text or "" for one in bar.iter("beam")] for bar in part]


def test_a_beam_over_a_barline_stays() -> None:
    made = by_layout(score(BARS), layout("Vn I"))
    assert beams(parts_of(made.score)[0]) == [["begin", "continue"], ["continue", "end"]]


def test_a_border_on_the_barline_cuts_it() -> None:
    made = by_plan(score(BARS), 'bars = "1"\nstack = "Vn I"', 'bars = "2"\nstack = "Vn II"')
    assert_valid(made.score)
    assert spanner_faults(made.score) == []
    firsts, seconds = parts_of(made.score)[:2]
    assert beams(firsts) == [["begin", "end"], []]
    assert beams(seconds) == [[], ["begin", "end"]]


@pytest.mark.parametrize(
    ("border", "wanted"),
    [
        ('from = "1 beat 3"\nto = "end"', [["begin", "continue"], ["continue", "end"]]),
        ('from = "1 beat 4.5"\nto = "end"', [["begin"], ["continue", "end"]]),
        ('from = "2 beat 1.5"\nto = "end"', [[], []]),
    ],
)
def test_a_border_within_the_bar_leaves_it_to_who_plays_both_sides(
    border: str, wanted: list[list[str]]
) -> None:
    made = by_plan(score(BARS), f'{border}\nstack = "Vn I"')
    assert_valid(made.score)
    assert spanner_faults(made.score) == []
    assert beams(parts_of(made.score)[0]) == wanted


def test_notes_beyond_the_tunes_bar_take_their_beams_along() -> None:
    tune = {"Melody": [bar_of(note("A4", 8)), note("A4", 8)]}
    beyond = note("C4", 4) + note("C4", 3) + note("D4", 1, BEGIN) + note("E4", 1, END)
    made = by_layout(
        score(tune | {"Pad": [bar_of(beyond), note("C4", 8)]}),
        layout("Vn I", "[[with]]", 'from = "Pad"', 'to = "Vla"'),
    )
    assert_valid(made.score)
    assert spanner_faults(made.score) == []
    assert beams(parts_of(made.score)[2]) == [[], []]
    assert [one.rule for one in made.report.findings] == ["overlong-in-sketch"]


def test_a_cue_note_at_a_barline_cuts_it() -> None:
    cue = note("E5", 1, GO_ON, before="<cue/>")
    bars = [BARS[0], BARS[1].replace(note("E5", 1, GO_ON), cue)]
    made = by_layout(score(bars), layout("Vn I"))
    assert spanner_faults(made.score) == []
    assert beams(parts_of(made.score)[0]) == [["begin", "end"], []]
