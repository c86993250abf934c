"""What stands above the music: titles, credits, page, part list.

Order of the children: W3C MusicXML 4.0, score-header, identification, score-part.
"""

import pytest
from lxml import etree

import rewriter
from rewriter.musicxml.saving import is_untouched
from tests.outside.schema import assert_valid, faults
from tests.plain_xml import bar_of, note, parts_of, score, text_of

BARS = [bar_of(note("A4", 8))]


def root_of(head: str = "", **options: str) -> etree._Element:
    made = rewriter.expand(score(BARS, head), "Vn I / Vc", **options)  # type: ignore[arg-type]  # names of options
    assert_valid(made.score)
    return etree.fromstring(made.score)


def test_titles_stay_letter_by_letter() -> None:
    head = (
        "<work><work-number>op. 1 &amp; 2</work-number>"
        "<work-title>Für Zoë 🎻 &lt;I&gt;</work-title></work>"
        "<movement-number>2</movement-number><movement-title>Straße</movement-title>"
    )
    root = root_of(head)
    assert root.findtext("work/work-title") == "Für Zoë 🎻 <I>"
    assert root.findtext("work/work-number") == "op. 1 & 2"
    assert root.findtext("movement-title") == "Straße"
    assert root.findtext("movement-number") == "2"


def test_a_work_with_a_link_keeps_it() -> None:
    head = (
        "<work><work-title>a</work-title>"
        '<opus xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="a.xml"/></work>'
    )
    opus = root_of(head).find("work/opus")
    assert opus is not None
    assert list(opus.attrib.values()) == ["a.xml"]


def test_who_made_it_stays_and_the_software_is_ours() -> None:
    head = (
        '<identification><creator type="composer">A</creator>'
        '<creator type="lyricist">B</creator><rights>C</rights>'
        "<encoding><software>other 1</software><encoding-date>2020-01-01</encoding-date>"
        "</encoding><source>D</source><relation>E</relation><miscellaneous>"
        '<miscellaneous-field name="mine">F</miscellaneous-field></miscellaneous>'
        "</identification>"
    )
    old = root_of(head).find("identification")
    assert old is not None
    assert [child.tag for child in old] == [
        "creator", "creator", "rights", "encoding", "source", "relation", "miscellaneous",
    ]  # fmt: skip
    said = f"rewriter {rewriter.__version__}"
    assert [e.text for e in old.iter("software")] == [said]
    assert old.find(".//encoding-date") is None
    fields = {e.get("name"): e.text for e in old.iter("miscellaneous-field")}
    assert fields["mine"] == "F"
    assert fields["made-by"] == said


def test_languages_of_titles_stay() -> None:
    # xml:lang is the schema's on credits (W3C MusicXML 4.0)
    head = '<credit><credit-words xml:lang="de">Lied</credit-words></credit>'
    words = root_of(head).find("credit/credit-words")
    assert words is not None
    assert next(iter(words.attrib.values())) == "de"


def test_our_own_output_as_a_sketch_has_one_digest() -> None:
    first = rewriter.expand(score(BARS), "Vn I").score
    second = rewriter.expand(first, "Vn I / Vc", tune="P1").score
    names = [e.get("name") for e in etree.fromstring(second).iter("miscellaneous-field")]
    assert sorted(set(names), key=str) == sorted(names, key=str)
    assert is_untouched(second)
    assert_valid(second)


def test_without_a_page_it_is_a4() -> None:
    # ISO 216: A4 is 210 by 297 mm
    defaults = root_of().find("defaults")
    assert defaults is not None
    millimetres = float(defaults.findtext("scaling/millimeters", "0"))
    tenth = millimetres / float(defaults.findtext("scaling/tenths", "1"))
    for side, length in (("page-height", 297), ("page-width", 210)):
        assert float(defaults.findtext(f"page-layout/{side}", "0")) * tenth == pytest.approx(
            length, abs=0.5
        )


PAGE = "<page-layout><page-height>1000</page-height><page-width>700</page-width></page-layout>"
SCALING = "<scaling><millimeters>6</millimeters><tenths>40</tenths></scaling>"


def test_a_page_of_the_sketch_stays() -> None:
    head = (
        f"<defaults>{SCALING}{PAGE}<system-layout><system-distance>9</system-distance>"
        '</system-layout><word-font font-family="Garamond"/></defaults>'
    )
    defaults = root_of(head).find("defaults")
    assert defaults is not None
    assert [child.tag for child in defaults] == ["scaling", "page-layout", "word-font"]
    assert defaults.findtext("page-layout/page-width") == "700"


def test_a_concert_score_stays_one() -> None:
    root = root_of(f"<defaults>{SCALING}<concert-score/>{PAGE}</defaults>")
    assert root.find("defaults/concert-score") is not None
    # only octaves may be transposed in one (W3C MusicXML 4.0, concert-score)
    assert {e.text for e in root.iter("chromatic")} == {"0"}


CREDIT = (
    '<credit page="1"><credit-type>composer</credit-type>'
    '<credit-words default-x="9" default-y="8" id="c1" color="#000000">A</credit-words>'
    "</credit>"
)


def test_a_credit_keeps_its_place_on_the_sketchs_page() -> None:
    words = root_of(f"<defaults>{SCALING}{PAGE}</defaults>{CREDIT}").find(".//credit-words")
    assert words is not None
    assert dict(words.attrib) == {"default-x": "9", "default-y": "8"}


def test_on_another_page_a_credit_is_placed_by_what_it_is() -> None:
    words = root_of(CREDIT).find(".//credit-words")
    assert words is not None
    assert dict(words.attrib) == {"justify": "right", "halign": "right"}


class TestPartList:
    """Names, sounds, brackets."""

    def test_score_order_sounds_and_programs(self) -> None:
        # sound ids: W3C MusicXML 4.0, sounds.xml; programs: General MIDI 1, counted from 1
        entries = root_of().findall("part-list/score-part")
        assert [
            (e.findtext(".//instrument-sound"), e.findtext(".//midi-program")) for e in entries
        ] == [
            ("strings.violin", "41"),
            ("strings.violin", "41"),
            ("strings.viola", "42"),
            ("strings.cello", "43"),
            ("strings.contrabass", "44"),
        ]

    def test_players(self) -> None:
        # Piston, Orchestration (1955; 1969), chapter 1: 16-14-12-10-8
        assert [e.text for e in root_of().iter("ensemble")] == ["16", "14", "12", "10", "8"]

    @pytest.mark.parametrize(
        ("language", "names", "short"),
        [
            ("it", ["Violini I", "Violini II", "Viole", "Violoncelli", "Contrabbassi"],
             "Vl. I"),
            ("de", ["Violinen I", "Violinen II", "Bratschen", "Violoncelli", "Kontrabässe"],
             "Vl. I"),
        ],
    )  # fmt: skip
    def test_names_in_other_languages(
        self, language: str, names: list[str], short: str
    ) -> None:
        root = root_of(language=language)
        assert [e.text for e in root.iter("part-name")] == names
        assert root.findtext(".//part-abbreviation") == short

    def test_one_bracket_with_joined_barlines(self) -> None:
        listed = root_of().find("part-list")
        assert listed is not None
        groups = listed.findall("part-group")
        assert [group.get("type") for group in groups] == ["start", "stop"]
        assert groups[0].findtext("group-symbol") == "bracket"
        assert groups[0].findtext("group-barline") == "yes"
        assert [listed.index(group) for group in groups] == [0, len(listed) - 1]

    def test_no_part_plays_on_the_drums_channel(self) -> None:
        assert "10" not in [e.text for e in root_of().iter("midi-channel")]


def test_names_of_parts_may_hold_anything() -> None:
    odd = {"A &amp; B &lt;1&gt; „ß“": [bar_of(note("A4", 8))]}
    made = rewriter.expand(score(odd), "Vn I")
    assert made.report.tune == '"A & B <1> „ß“" (P1): the only part'
    assert not faults(made.score)


def test_the_bass_is_written_an_octave_up_by_its_transposition_alone() -> None:
    # W3C MusicXML 4.0, <transpose>: octave-change -1 on a plain bass clef
    made = rewriter.expand(score([bar_of(note("E2", 8))]), "Vc loco / Db")
    bass = parts_of(made.score)[4]
    assert text_of(bass.find(".//clef")) == "<clef><sign>F</sign><line>4</line></clef>"  # type: ignore[arg-type]  # there is one
    assert bass.findtext(".//octave-change") == "-1"
    # an octave below the cellos' E2 sounds E1, which is written E2
    assert bass.findtext(".//pitch/octave") == "2"
