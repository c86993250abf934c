"""What the standard does not allow: mended so that the schema takes it, and said.

What is allowed: W3C MusicXML 4.0, ending-number, note-type-value, non-negative-decimal,
direction-type; the schema itself judges.
"""

import pytest

import rewriter
from tests.outside.schema import assert_valid, faults
from tests.plain_xml import bar_of, direction, first_violins, note, score, text_of


def mended(*content: str) -> tuple[str, list[str]]:
    """The first violins' bar and what is said; the sketch itself is not valid."""
    data = score([bar_of(*content)])
    assert faults(data)
    made = rewriter.expand(data, "Vn I loco")
    assert_valid(made.score)
    return text_of(first_violins(made)[0]), [one.text for one in made.report.findings]


def metronome(unit: str, speed: str = "66") -> str:
    return f"<metronome>{unit}<per-minute>{speed}</per-minute></metronome>"


@pytest.mark.parametrize(
    ("said", "wanted"),
    [("0, 1", "1"), ("1.", "1"), ("1,2,", "1, 2"), ("first", "1"), ("2.-3.", "2, 3")],
)
def test_numbers_of_endings(said: str, wanted: str) -> None:
    ends = [
        f'<barline location="{place}"><ending number="{said}" type="{end}"/></barline>'
        for place, end in (("left", "start"), ("right", "stop"))
    ]
    bar, texts = mended(ends[0], note("A4", 8), ends[1])
    assert bar.count(f'<ending number="{wanted}"') == 2
    assert texts == [f'an ending numbered "{said}" cannot be; numbered {wanted}']


@pytest.mark.parametrize(
    ("speed", "played", "unit"),
    [("66", "66", "quarter"), ("66", "132", "half"), ("132", "66", "eighth")],
)
def test_a_metronome_mark_counts_what_is_played(speed: str, played: str, unit: str) -> None:
    sound = f'<sound tempo="{played}"/>'
    mark = direction(metronome("<beat-unit/>", speed), rest=sound)
    bar, texts = mended(mark, note("A4", 8))
    assert f"<beat-unit>{unit}</beat-unit>" in bar
    assert texts == [
        f"a metronome mark names no note; counted in {unit} notes, as it is played"
    ]


def test_a_metronome_mark_that_nobody_plays_goes_and_the_words_beside_it_stay() -> None:
    mark = direction("<words>Andante</words>", metronome("<beat-unit/>"))
    bar, texts = mended(mark, note("A4", 8))
    assert "metronome" not in bar
    assert "<words>Andante</words>" in bar
    assert texts == ["a metronome mark names no note; left out"]


def test_what_is_played_stays_where_its_mark_goes() -> None:
    mark = direction(metronome("<beat-unit/>", "66"), rest='<sound tempo="99"/>')
    bar, _ = mended(mark, note("A4", 8))
    assert 'tempo="99"' in bar


@pytest.mark.parametrize("name", ["dynamics", "tempo"])
def test_playback_below_zero(name: str) -> None:
    mark = direction("<dynamics><p/></dynamics>", rest=f'<sound {name}="-1.11"/>')
    bar, texts = mended(mark, note("A4", 8))
    assert "<sound" not in bar
    assert "<p/>" in bar
    assert texts == [f'{name} of "-1.11" for playback cannot be; left out']


def test_playback_below_zero_on_its_own() -> None:
    bar, texts = mended('<sound dynamics="-1.11" tempo="90"/>', note("A4", 8))
    assert '<sound tempo="90"/>' in bar
    assert texts == ['dynamics of "-1.11" for playback cannot be; left out']


def test_a_direction_without_a_sign_beside_one_with_a_sign() -> None:
    mark = direction("", "<words>dolce</words>")
    bar, texts = mended(mark, note("A4", 8))
    assert bar.count("<direction-type>") == 1
    assert texts == ["a direction without a sign; left out"]


def test_repeats_and_endings_are_kept_and_counted() -> None:
    repeat = (
        '<barline location="right"><ending number="1" type="stop"/>'
        '<repeat direction="backward"/></barline>'
    )
    first = '<barline location="left"><ending number="1" type="start"/></barline>'
    made = rewriter.expand(score([bar_of(first, note("A4", 8), repeat), note("B4", 8)]), "Vn I")
    assert made.report.kept == {"endings": 1, "repeats": 1}
