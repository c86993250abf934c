"""The score as a whole: its parts alike in bars, barlines, keys; its top part; its bytes."""

import pytest
from lxml import etree

import rewriter
from tests.outside.reference import bar_lengths
from tests.outside.schema import assert_valid
from tests.outside.spans import voice_faults
from tests.plain_xml import bar_of, direction, note, parts_of, pitch_xml, score, text_of

XLINK = "http://www.w3.org/1999/xlink"


def barlines(part: etree._Element) -> list[list[str]]:
    return [[text_of(line) for line in measure.iter("barline")] for measure in part]


def repeated() -> bytes:
    left = '<barline location="left">{}</barline>'
    right = '<barline location="right">{}</barline>'
    begin = left.format('<bar-style>heavy-light</bar-style><repeat direction="forward"/>')
    first = right.format(
        '<bar-style>light-heavy</bar-style><fermata/><ending number="1" type="stop"/>'
        '<repeat direction="backward"/>'
    )
    return score(
        [
            bar_of(begin, note("A4", 8)),
            left.format('<ending number="1" type="start"/>') + note("A4", 8) + first,
            left.format('<segno/><ending number="2" type="start"/>')
            + note("r", 4)
            + '<barline location="middle"><bar-style>dashed</bar-style></barline>'
            + note("A4", 4)
            + right.format('<ending number="2" type="discontinue"/>'),
        ]
    )


def test_repeats_endings_and_fermatas_stand_in_every_part() -> None:
    # readers unfold each part by its own barlines (W3C MusicXML 4.0, <repeat>, <ending>)
    data = repeated()
    made = rewriter.expand(data, "Vn I / Vc")
    assert_valid(made.score)
    wanted = barlines(parts_of(data)[0])
    assert [barlines(part) for part in parts_of(made.score)] == [wanted] * 5


def test_left_barlines_come_first_and_right_ones_last() -> None:
    for part in parts_of(rewriter.expand(repeated(), "Vn I").score):
        for measure in part:
            lines = list(measure.iter("barline"))
            places = {line.get("location"): measure.index(line) for line in lines}
            assert places.get("left", 0) == 0
            assert places.get("right", len(measure) - 1) == len(measure) - 1


def test_a_trill_line_at_a_barline_is_not_everybodys() -> None:
    line = '<barline><bar-style>light-light</bar-style><wavy-line type="stop"/></barline>'
    made = rewriter.expand(score([bar_of(note("A4", 8), line)]), "Vn I")
    assert b"wavy-line" not in made.score
    assert made.score.count(b"light-light") == 5
    assert made.report.dropped == {"trill lines at barlines": 1}


def test_every_part_has_the_same_bars_keys_and_metres() -> None:
    bars = [
        bar_of(note("A4", 8)),
        bar_of(note("A4", 6), attributes="<key><fifths>2</fifths></key>"
               "<time><beats>3</beats><beat-type>4</beat-type></time>"),
        note("A4", 4) + "<attributes><key><fifths>-1</fifths></key></attributes>"
        + note("A4", 2),
    ]  # fmt: skip
    made = rewriter.expand(score(bars), "Vn I / Vc")
    assert_valid(made.score)
    assert bar_lengths(made.score) == [[4, 3, 3]] * 5
    for part in parts_of(made.score):
        assert [e.text for e in part.iter("fifths")] == ["0", "2", "-1"]
        assert [e.text for e in part.iter("beats")] == ["4", "3"]
        assert [e.text for e in part.iter("divisions")] == ["2"]
    assert not voice_faults(made.score)


def test_tempo_stands_on_the_top_part_even_if_it_rests() -> None:
    tempo = direction("<words>Largo</words>", rest='<sound tempo="50"/>')
    made = rewriter.expand(score([bar_of(tempo, note("A4", 8))]), "Vla")
    assert [text_of(part).count("Largo") for part in parts_of(made.score)] == [1, 0, 0, 0, 0]


def test_links_declare_their_namespace_once() -> None:
    link = f'<link xmlns:xlink="{XLINK}" xlink:href="a.pdf"/>'
    made = rewriter.expand(score([bar_of(link, note("A4", 8)), link + note("A4", 8)]), "Vn I")
    assert made.score.count(XLINK.encode()) == 1
    assert made.score.index(XLINK.encode()) < made.score.index(b"<part-list>")
    assert_valid(made.score)


@pytest.mark.parametrize("layout", ["Vn I", "Vn I / Vn II + Vla / Vc", "Vc / Db"])
def test_the_same_input_gives_the_same_bytes(layout: str) -> None:
    data = repeated()
    assert rewriter.expand(data, layout).score == rewriter.expand(data, layout).score


def test_octaves_at_the_edge_of_what_can_be_written() -> None:
    # <octave> is 0 to 9 (W3C MusicXML 4.0)
    bars = [bar_of(note("A9", 8))]
    assert b"<octave>9</octave>" in rewriter.expand(score(bars), "Vn I loco").score
    with pytest.raises(rewriter.Refused) as caught:
        rewriter.expand(score(bars), "Vn I 8va")
    assert str(caught.value) == (
        'sketch: "Vn I 8va" takes a tune from A9 to A9 past C0 or B9; '
        "name an octave nearer to the tune"
    )


@pytest.mark.parametrize(
    ("low", "layout", "written"),
    [
        ("C1", "Vc 8vb", "C0"),
        ("C#1", "Vc 8vb", "C#0"),
        ("Dbb1", "Vc 8vb", "Dbb0"),
        ("Cb1", "Vc 8vb", "Cb0"),  # sounds as a B, is written on the C
        ("C0", "Db loco", "C1"),  # basses are written an octave up
    ],
)
def test_the_lowest_octave_is_written_to_its_bottom(
    low: str, layout: str, written: str
) -> None:
    # <octave> is 0 to 9, and of the letter (W3C MusicXML 4.0)
    made = rewriter.expand(score([bar_of(note(low, 4), note("G1", 4))]), layout).score
    assert pitch_xml(written).encode() in made
    assert_valid(made)


@pytest.mark.parametrize("low", ["C0", "B#0", "B##0", "Cb0"])
def test_no_note_is_written_below_the_lowest_octave(low: str) -> None:
    with pytest.raises(rewriter.Refused, match="past C0 or B9; name an octave nearer"):
        rewriter.expand(score([bar_of(note(low, 4), note("G1", 4))]), "Vc 8vb")


def test_a_transposition_past_the_octaves_is_refused() -> None:
    with pytest.raises(rewriter.Refused) as caught:
        rewriter.expand(score([bar_of(note("A9", 8))]), "Vn I", by="up P8")
    assert "A10 lies beyond the octaves MusicXML can write" in str(caught.value)
