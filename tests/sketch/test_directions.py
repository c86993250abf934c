"""Who gets which direction of the sketch.

What is for the whole score stands once, on the top part; segno, coda and the jumps stand in
every part; everything else in each line that plays.
"""

import pytest
from lxml import etree

import rewriter
from rewriter.sketch.directions import read_direction
from tests.outside.schema import assert_valid
from tests.plain_xml import bar_of, direction, note, parts_of, score, text_of

METRONOME = "<metronome><beat-unit>quarter</beat-unit><per-minute>60</per-minute></metronome>"
TOP, LINES, EVERY = "top", "lines", "every"


def words(text: str) -> str:
    return f"<words>{text}</words>"


def made_of(*signs: str, tune: str = "", others: str = "") -> rewriter.Expansion:
    """Vn I and Vla play, the others rest."""
    parts = {"Flute": [bar_of(*signs, note("A4", 8))]}
    if others:
        parts = {"Piano": [bar_of(others, note("C4", 8))], "Melody": parts["Flute"]}
    made = rewriter.expand(score(parts), "Vn I loco / Vla", tune=tune)
    assert_valid(made.score)
    return made


def who_has(data: bytes, what: str) -> str:
    """Which parts an element or text stands in, and that it stands there once."""
    counts = [text_of(part).count(what) for part in parts_of(data)]
    found = {"10000": TOP, "10100": LINES, "11111": EVERY}
    return found.get("".join(map(str, counts)), str(counts))


@pytest.mark.parametrize(
    ("sign", "what", "who"),
    [
        (direction(words("dolce")), "dolce", LINES),
        (direction("<dynamics><p/></dynamics>"), "<p/>", LINES),
        (direction(words("Largo"), rest='<sound tempo="50"/>'), "Largo", TOP),
        (direction(words("Largo"), METRONOME), "Largo", TOP),
        (direction(METRONOME), "<metronome>", TOP),
        (direction(words("Largo"), attributes=' directive="yes"'), "Largo", TOP),
        (direction(words("Largo"), attributes=' system="only-top"'), "Largo", TOP),
        (direction(words("dolce"), attributes=' system="none"'), "dolce", LINES),
        (direction("<rehearsal>A</rehearsal>"), "<rehearsal>", TOP),
        (direction("<rehearsal>A</rehearsal>", words("dolce")), "dolce", LINES),
        (direction("<segno/>", rest='<sound segno="1"/>'), "<segno/>", EVERY),
        (direction("<coda/>", rest='<sound coda="1"/>'), 'coda="1"', EVERY),
        (direction(words("D.S. al Coda"), rest='<sound dalsegno="1"/>'), "D.S. al", EVERY),
        (direction(words("Fine"), rest='<sound fine="yes"/>'), "Fine", EVERY),
        ('<sound tempo="50"/>', 'tempo="50"', TOP),
        ('<sound dacapo="yes"/>', "dacapo", EVERY),
        ('<sound pizzicato="yes"/>', "pizzicato", LINES),
        ("<sound><swing><straight/></swing></sound>", "<swing>", TOP),
        ('<link xlink:href="a" xmlns:xlink="http://www.w3.org/1999/xlink"/>', "<link", TOP),
        ("<grouping type='single'><feature>x</feature></grouping>", "<grouping", LINES),
    ],
)
def test_who_has_a_sign(sign: str, what: str, who: str) -> None:
    assert who_has(made_of(sign).score, what) == who


def test_a_tempo_and_a_dynamic_in_one_direction_are_two() -> None:
    sign = direction(
        "<dynamics><f/></dynamics>", words("Allegro"), rest='<sound tempo="120" dynamics="98"/>'
    )
    data = made_of(sign).score
    assert who_has(data, "Allegro") == who_has(data, 'tempo="120"') == TOP
    assert who_has(data, "<f/>") == who_has(data, 'dynamics="98"') == LINES


def test_several_words_stay_together() -> None:
    sign = direction("<words>poco </words><words>rit.</words>")
    assert who_has(made_of(sign).score, "<words>poco </words><words>rit.</words>") == TOP


def test_pages_positions_go_and_the_side_stays() -> None:
    sign = '<direction placement="below" id="d1"><direction-type>'
    sign += '<words default-x="3" color="#FF0000">dolce</words></direction-type></direction>'
    assert who_has(
        made_of(sign).score,
        '<direction placement="below"><direction-type><words>dolce</words>',
    ) == LINES  # fmt: skip


@pytest.mark.parametrize(
    ("sign", "side"),
    [
        # a tempo stands above the top part, wherever a keyboard or a song had room for it
        (direction(words("calando"), attributes=' placement="below"'), "above"),
        (direction(METRONOME), "above"),
        (direction("<rehearsal>A</rehearsal>"), ""),
        # what is a line's own stays on its side
        (direction("<words>dolce</words>", attributes=' id="a" placement="below"'), "below"),
        (direction("<dynamics><p/></dynamics>", attributes=' placement="above"'), "above"),
    ],
)
def test_the_side_of_a_sign(sign: str, side: str) -> None:
    (top, *_) = parts_of(made_of(sign).score)
    assert [one.get("placement", "") for one in top.iter("direction")] == [side]


@pytest.mark.parametrize(
    ("kind", "dropped"),
    [
        ('<octave-shift type="down" size="8"/>', "8va lines"),
        ('<pedal type="start"/>', "pedal marks"),
        ("<harp-pedals><pedal-tuning><pedal-step>C</pedal-step><pedal-alter>0</pedal-alter>"
         "</pedal-tuning></harp-pedals>", "pedal marks"),
        ("<accordion-registration/>", "accordion registrations"),
    ],
)  # fmt: skip
def test_what_belongs_to_the_sketchs_instrument_is_counted(kind: str, dropped: str) -> None:
    made = made_of(direction(kind))
    assert made.report.dropped == {dropped: 1}
    assert b"<direction>" not in made.score


def test_a_tempo_beside_a_dropped_sign_stays() -> None:
    sign = direction('<pedal type="start"/>', rest='<sound tempo="72" damper-pedal="yes"/>')
    made = made_of(sign)
    assert who_has(made.score, '<sound tempo="72"/>') == TOP
    assert made.report.dropped == {"pedal marks": 1}


def test_playback_of_the_sketchs_instruments_is_counted() -> None:
    # <midi-instrument> needs an id of the part list (W3C MusicXML 4.0); the sketch's is gone
    sound = '<sound tempo="60"><midi-instrument id="P9"/><offset>1</offset></sound>'
    made = made_of(sound)
    assert who_has(made.score, '<sound tempo="60"><offset>1</offset></sound>') == TOP
    assert made.report.dropped == {"element ids": 1, "playback instruments": 1}
    change = '<sound><instrument-change id="P9"/></sound>'
    assert b"<sound" not in made_of(change).score


def test_offsets_are_scaled_with_the_divisions() -> None:
    # one division of the sketch becomes two, since a length of 1.5 needs them
    sign = direction(
        words("x"), rest='<offset>1</offset><sound tempo="60"><offset>1</offset></sound>'
    )
    third = note("A4", 3).replace(">3<", ">1.5<")
    bar = bar_of(sign, third, third.replace(">1.5<", ">6.5<"))
    made = rewriter.expand(score([bar]), "Vn I loco")
    assert text_of(parts_of(made.score)[0]).count("<offset>2</offset>") == 2


@pytest.mark.parametrize(
    "sign",
    [
        direction(words("x"), rest="<offset>x</offset>"),
        direction(words("x"), rest="<sound><offset>x</offset></sound>"),
        '<sound tempo="60"><offset>x</offset></sound>',
    ],
)
def test_an_offset_that_is_no_number_is_refused(sign: str) -> None:
    with pytest.raises(rewriter.Refused) as caught:
        rewriter.expand(score([bar_of(sign, note("A4", 8))]), "Vn I loco")
    assert str(caught.value) == (
        'sketch: Flute, bar 1: an offset of "x" is no number; correct it in the sketch'
    )


def test_a_direction_inside_a_long_note_keeps_its_moment() -> None:
    inside = (
        "<backup><duration>4</duration></backup>"
        + direction("<dynamics><p/></dynamics>")
        + "<forward><duration>4</duration></forward>"
    )
    data = score([bar_of(note("A4", 8), inside)])
    part = text_of(parts_of(rewriter.expand(data, "Vn I loco").score)[0])
    assert "<p/></dynamics></direction-type><offset>4</offset></direction><note>" in part


def test_a_direction_of_another_voice_is_not_the_tunes() -> None:
    other = direction(words("due"), rest="<voice>2</voice>")
    back = "<backup><duration>8</duration></backup>"
    data = score([bar_of(note("A4", 8, voice="1"), back, other, note("C4", 8, voice="2"))])
    assert b"due" not in rewriter.expand(data, "Vn I loco").score
    assert b"due" in rewriter.expand(data, "Vn I loco", tune="P1 voice 2").score


def test_a_stack_between_brackets_is_for_the_tool() -> None:
    parts = read_direction(
        etree.fromstring(direction(words("[Vn I / Vla]"))), 1, is_layout=bool
    )
    assert parts.layouts == ("Vn I / Vla",)
    assert not parts.shapes


@pytest.mark.parametrize(
    ("text", "family"),
    [("pizz.", "bow"), ("arco", "bow"), ("col legno", "bow"), ("con sord.", "mute"),
     ("mit Dämpfer", "mute"), ("sans sourdine", "mute"), ("sul ponticello", "place"),
     ("am Griffbrett", "place"), ("ord.", "place"), ("dolce", None), ("word", None)],
)  # fmt: skip
def test_techniques_that_stay_in_force(text: str, family: str | None) -> None:
    (shape,) = read_direction(etree.fromstring(direction(words(text))), 1).shapes
    assert [one.family for one in shape.detail.techniques] == ([family] if family else [])


class TestOtherParts:
    """What only another part of the sketch says for everybody."""

    def test_each_of_several_signs_at_one_moment(self) -> None:
        signs = (
            direction(METRONOME, rest='<sound tempo="60"/>')
            + direction("<rehearsal>A</rehearsal>")
            + direction("<segno/>", rest='<sound segno="1"/>')
        )
        data = made_of(others=signs).score
        assert who_has(data, "<metronome>") == who_has(data, "<rehearsal>") == TOP
        assert who_has(data, "<segno/>") == EVERY

    def test_what_the_tune_says_itself_is_not_said_twice(self) -> None:
        own = direction(words("Largo"), METRONOME) + '<sound tempo="60"/>'
        other = direction(words("Largo"), rest='<sound tempo="60"/>') + direction(METRONOME)
        data = made_of(own, others=other).score
        assert who_has(data, "Largo") == who_has(data, "<metronome>") == TOP

    def test_a_jump_said_in_both_stands_once(self) -> None:
        sign = direction(words("D.C."), rest='<sound dacapo="yes"/>')
        assert who_has(made_of(sign, others=sign).score, "D.C.") == EVERY

    def test_a_mark_beside_the_tunes_own_tempo(self) -> None:
        data = made_of(direction(METRONOME), others=direction("<rehearsal>B</rehearsal>")).score
        assert who_has(data, "<rehearsal>") == who_has(data, "<metronome>") == TOP

    def test_its_own_words_and_dynamics_stay_behind(self) -> None:
        other = direction(words("legato")) + direction("<dynamics><f/></dynamics>")
        data = made_of(others=other).score
        assert b"legato" not in data
        assert b"<f/>" not in data
