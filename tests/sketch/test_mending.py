"""What the standard does not allow: mended so that the schema takes it, and said.

What is allowed: W3C MusicXML 4.0, ending-number, note-type-value, non-negative-decimal,
direction-type; the schema itself judges.
"""

import pytest

import rewriter
from tests.outside.schema import assert_valid, faults
from tests.plain_xml import bar_of, direction, first_violins, note, score, text_of
from tests.planned import by_layout, layout


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


@pytest.mark.parametrize("name", ["dynamics", "end-dynamics"])
def test_playback_of_a_note_below_zero(name: str) -> None:
    bad = note("B4", 4).replace("<note>", f'<note {name}="-1.11" attack="-1">')
    bar, texts = mended(note("A4", 4), bad)
    assert bar.count('<note attack="-1">') == 1
    assert texts == [f'{name} of "-1.11" for playback cannot be; left out']


def test_playback_of_a_note_that_can_be_stays() -> None:
    loud = note("A4", 8).replace("<note>", '<note dynamics="88.89">')
    made = rewriter.expand(score([bar_of(loud)]), "Vn I loco")
    assert '<note dynamics="88.89">' in text_of(first_violins(made)[0])
    assert made.report.findings == []


def of_two_parts(tune: str, other: str) -> list[tuple[str, str, str]]:
    """Texts, parts and beats of what is mended in a tune with another part below."""
    below = bar_of(note("C4", 2) + other + note("C4", 6))
    data = score({"Flute": [bar_of(tune + note("A4", 8))], "Low": [below]})
    made = rewriter.expand(data, "Vn I loco", tune="P1")
    assert_valid(made.score)
    return [(one.text, one.place.part, one.place.beat) for one in made.report.findings]


def test_what_other_parts_say_for_everybody_is_mended_and_said() -> None:
    sound = '<sound tempo="132"/>'
    known = direction(metronome("<beat-unit/>"), rest=sound)
    said = "in part P2, a metronome mark names no note; "
    counted = said + "counted in half notes, as it is played"
    assert of_two_parts("", known) == [(counted, "P2", "2")]
    nobodys = direction(metronome("<beat-unit/>"))
    assert of_two_parts("", nobodys) == [(said + "left out", "P2", "2")]


def test_what_only_the_other_part_plays_is_not_mended_in_the_tune() -> None:
    own = direction("", "<words>sul tasto</words>")
    assert of_two_parts("", own) == []


def test_the_same_fault_of_the_tune_is_said_once() -> None:
    mark = direction(metronome("<beat-unit/>", "66"))
    data = score(
        {"Flute": [bar_of(mark + note("A4", 8))], "Low": [bar_of(mark + note("C4", 8))]}
    )
    found = rewriter.expand(data, "Vn I loco", tune="P1").report.findings
    assert [(one.text, one.place.part) for one in found] == [
        ("a metronome mark names no note; left out", "P1")
    ]


def test_what_an_accompaniment_says_for_everybody_is_said_once() -> None:
    mark = direction(metronome("<beat-unit/>", "66"), rest='<sound tempo="132"/>')
    data = score({"Flute": [bar_of(note("A4", 8))], "Low": [bar_of(mark + note("C4", 8))]})
    text = layout("Vn I loco", "[[with]]", 'from = "P2"', 'to = "Vc"')
    found = by_layout(data, text, tune="P1").report.findings
    assert [one.place.part for one in found if one.rule == "mended-in-sketch"] == ["P2"]


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
