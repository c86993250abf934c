"""Whatever a voice opens it closes; what has one end only is left out and said.

Source of the pairing: W3C MusicXML 4.0, number-level and start-stop.
"""

import pytest

import rewriter
from tests.outside.schema import assert_valid
from tests.outside.spans import spanner_faults
from tests.plain_xml import (
    bar_of,
    direction,
    first_violins,
    note,
    parts_of,
    score,
    text_of,
    tied,
)
from tests.planned import by_plan


def made_of(bars: list[str]) -> rewriter.Expansion:
    made = rewriter.expand(score(bars), "Vn I loco")
    assert_valid(made.score)
    assert not spanner_faults(made.score)
    return made


def said(bars: list[str]) -> list[str]:
    return [f"{f.place.bar}/{f.place.beat} {f.text}" for f in made_of(bars).report.findings]


def notation(kind: str) -> str:
    return f"<notations>{kind}</notations>"


@pytest.mark.parametrize(
    ("begin", "end", "what"),
    [
        ('<slur type="start" number="1"/>', '<slur type="stop" number="1"/>', "slur"),
        ('<tuplet type="start"/>', '<tuplet type="stop"/>', "tuplet bracket"),
        ('<glissando type="start"/>', '<glissando type="stop"/>', "glissando"),
        ('<slide type="start"/>', '<slide type="stop"/>', "slide"),
        (
            '<ornaments><wavy-line type="start"/></ornaments>',
            '<ornaments><wavy-line type="stop"/></ornaments>',
            "trill line",
        ),
        (
            '<ornaments><tremolo type="start">3</tremolo></ornaments>',
            '<ornaments><tremolo type="stop">3</tremolo></ornaments>',
            "tremolo",
        ),
    ],
)
def test_one_end_of_a_notation_is_left_out_and_said(begin: str, end: str, what: str) -> None:
    first, second = note("A4", 4, notation(begin)), note("B4", 4, notation(end))
    assert said([bar_of(first, second)]) == []
    alone = [bar_of(first, note("B4", 4))]
    assert said(alone) == [f"1/1 a {what} begins here and never ends in this voice; left out"]
    assert "<notations" not in text_of(first_violins(made_of(alone)))
    assert said([bar_of(note("A4", 4), second)]) == [
        f"1/3 a {what} ends here and never began in this voice; left out"
    ]


@pytest.mark.parametrize(
    ("begin", "end", "what"),
    [
        ('<wedge type="crescendo"/>', '<wedge type="stop"/>', "hairpin"),
        ('<dashes type="start"/>', '<dashes type="stop"/>', "dashed line"),
        (
            '<bracket type="start" line-end="none"/>',
            '<bracket type="stop" line-end="none"/>',
            "bracket",
        ),
    ],
)
def test_one_end_of_a_line_is_left_out_and_said(begin: str, end: str, what: str) -> None:
    first, second = direction(begin), direction(end)
    assert said([bar_of(first, note("A4", 4), second, note("A4", 4))]) == []
    alone = [bar_of(note("A4", 4), first, note("A4", 4))]
    assert said(alone) == [f"1/3 a {what} begins here and never ends in this voice; left out"]
    assert "<direction" not in text_of(first_violins(made_of(alone)))
    alone = [bar_of(note("A4", 4), second, note("A4", 4))]
    assert said(alone) == [f"1/3 a {what} ends here and never began in this voice; left out"]


def test_a_line_begun_twice_keeps_the_later_one() -> None:
    begin, end = direction('<wedge type="crescendo"/>'), direction('<wedge type="stop"/>')
    bars = [bar_of(begin, note("A4", 2), begin, note("A4", 2), end, note("A4", 4))]
    assert said(bars) == ["1/1 a hairpin begins here and never ends in this voice; left out"]


def test_a_dynamic_beside_an_open_hairpin_stays() -> None:
    sign = direction("<dynamics><p/></dynamics>", '<wedge type="crescendo"/>')
    part = text_of(first_violins(made_of([bar_of(sign, note("A4", 8))])))
    assert "<p/>" in part
    assert "wedge" not in part


def test_a_slur_handed_on_by_one_note() -> None:
    begin, end = '<slur type="start" number="1"/>', '<slur type="stop" number="1"/>'
    bars = [
        bar_of(
            note("A4", 2, notation(begin)),
            note("B4", 2, notation(begin + end)),
            note("C5", 4, notation(end)),
        )
    ]
    assert said(bars) == []


def tied_note(pitch: str, *ends: str) -> str:
    heard, drawn = tied(*ends)
    return note(pitch, 4, drawn).replace("</duration>", f"</duration>{heard}")


def test_a_tie_needs_the_next_note_on_its_pitch() -> None:
    assert said([bar_of(tied_note("A4", "start"), tied_note("A4", "stop"))]) == []
    bars = [bar_of(tied_note("A4", "start"), tied_note("B4", "stop"))]
    assert said(bars) == [
        "1/1 a tie begins here and never ends in this voice; left out",
        "1/3 a tie ends here and never began in this voice; left out",
    ]


def test_a_tie_over_a_rest_is_none() -> None:
    bars = [bar_of(tied_note("A4", "start"), note("r", 4)), tied_note("A4", "stop")]
    assert len(said(bars)) == 2


def test_a_tie_into_a_second_ending_comes_from_before_the_first() -> None:
    ending = '<barline location="{}"><ending number="{}" type="{}"/></barline>'
    bars = [
        bar_of(note("r", 4), tied_note("A4", "start")),
        ending.format("left", 1, "start")
        + tied_note("A4", "stop")
        + note("r", 4)
        + ending.format("right", 1, "stop"),
        ending.format("left", 2, "start") + tied_note("A4", "stop") + note("r", 4),
    ]
    report = rewriter.expand(score(bars), "Vn I loco").report
    assert report.findings == []


def test_the_other_end_in_another_voice_is_not_there() -> None:
    begin, end = '<slur type="start"/>', '<slur type="stop"/>'
    back = "<backup><duration>8</duration></backup>"
    bars = [
        bar_of(
            note("A5", 8, notation(begin), voice="1"), back, note("A4", 8, notation(end),
                                                                 voice="2"),
        )
    ]  # fmt: skip
    assert said(bars) == ["1/1 a slur begins here and never ends in this voice; left out"]


TRILL = '<ornaments><trill-mark/><wavy-line type="start"/><wavy-line type="stop"/></ornaments>'
TRIPLET = (
    "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
    "</time-modification>"
)


def test_a_trill_line_over_one_note_ends_on_it() -> None:
    bar = bar_of(note("A4", 4, notation(TRILL)), note("B4", 4, notation(TRILL)))
    assert said([bar]) == []
    assert text_of(first_violins(made_of([bar]))).count(TRILL) == 2


def test_a_trill_line_over_one_note_stays_on_it_at_a_border() -> None:
    trilled = [bar_of(note("A4", 8, notation(TRILL))), note("B4", 8), note("C5", 8)]
    made = by_plan(
        score(trilled), 'bars = "1-1"\nstack = "Vn I"', 'bars = "2-3"\nstack = "Vn II"'
    )
    firsts, seconds = parts_of(made.score)[:2]
    assert [one.get("type") for one in firsts.iter("wavy-line")] == ["start", "stop"]
    assert not list(seconds.iter("wavy-line"))


def test_a_trill_line_ends_where_the_next_begins() -> None:
    begins, ends = '<wavy-line type="start"/>', '<wavy-line type="stop"/>'
    chain = [
        note("A4", 4, notation(f"<ornaments>{begins}</ornaments>")),
        note("B4", 2, notation(f"<ornaments>{begins}{ends}</ornaments>")),
        note("C5", 2, notation(f"<ornaments>{ends}</ornaments>")),
    ]
    assert said([bar_of(*chain)]) == []


def test_a_tuplet_of_one_note_is_whole() -> None:
    signs = notation('<tuplet type="start"/><tuplet type="stop"/>')
    pieces = [note("A4", 2, TRIPLET + signs), note("B4", 2, TRIPLET + signs), note("C5", 4)]
    bar = bar_of(*pieces)
    assert said([bar]) == []
    assert len(list(first_violins(made_of([bar])).iter("tuplet"))) == 4


def test_a_slur_goes_to_another_note() -> None:
    signs = notation('<slur type="start"/><slur type="stop"/>')
    assert said([bar_of(note("A4", 4, signs), note("B4", 4))]) == [
        "1/1 a slur ends here and never began in this voice; left out",
        "1/1 a slur begins here and never ends in this voice; left out",
    ]
