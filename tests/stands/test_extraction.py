"""Parts of small scores in the tests' shorthand: the page, the signs, the rests, the names."""

import re

import pytest
from lxml import etree

import rewriter
from rewriter.musicxml.saving import is_untouched
from rewriter.stands.extraction import Part
from rewriter.stands.part_heading import file_names
from rewriter.verbs.parts import parts
from tests.outside.schema import assert_valid
from tests.outside.spans import spanner_faults
from tests.planned import expand
from tests.shorthand import sketch


def measures(part: Part) -> list[etree._Element]:
    return list(etree.fromstring(part.data).iter("measure"))


def texts(part: Part, tag: str) -> list[tuple[str, str]]:
    """Bar number and text of every element of a kind in the music."""
    return [
        (measure.get("number", ""), "".join(str(text) for text in element.itertext()).strip())
        for measure in measures(part)
        for element in measure.iter(tag)
    ]


def multi_rests(score: bytes, which: int = 1) -> list[tuple[str, str]]:
    made = parts(score)[which]
    assert_valid(made.data)
    found = texts(made, "multiple-rest")
    assert made.multi_bar_rests == len(found)
    return found


def against(music: str, top: str = "") -> bytes:
    """A score of two parts: one plays through, the other is what is looked at."""
    bars = len(re.findall(r"\|", music.split("|", 1)[1])) if top == "" else 0
    return sketch(top or "4/4 | " + "C5w | " * bars, tune="Violins", others={"Violas": music})


def test_each_part_stands_alone_with_its_own_entry_and_name() -> None:
    score = sketch("4/4 | C5w |", tune="Violins", others={"Violas": "| C4w |"}, title="Quay")
    first, second = parts(score)
    assert (first.name, second.name) == ("Violins", "Violas")
    assert (first.file_name, second.file_name) == (
        "Quay-Violins.musicxml",
        "Quay-Violas.musicxml",
    )
    root = etree.fromstring(second.data)
    assert [one.get("id") for one in root.iter("score-part", "part")] == ["P2", "P2"]
    named = root.xpath("credit[credit-type='part name']/credit-words/text()")
    assert named == ["Violas"]
    assert root.findtext("movement-title") == "Quay"
    assert is_untouched(first.data)
    assert_valid(first.data)


def test_the_name_stands_at_the_top_left_of_the_scores_page() -> None:
    page = (
        "<defaults><scaling><millimeters>7</millimeters><tenths>40</tenths></scaling>"
        "<page-layout><page-height>1500</page-height><page-width>1100</page-width>"
        '<page-margins type="both"><left-margin>70</left-margin>'
        "<right-margin>70</right-margin><top-margin>80</top-margin>"
        "<bottom-margin>80</bottom-margin></page-margins></page-layout></defaults>"
        '<credit page="1"><credit-type>title</credit-type>'
        '<credit-words default-x="550" default-y="1420">Quay</credit-words></credit>'
        "<part-list>"
    )
    score = sketch("4/4 | C5w |").replace(b"<part-list>", page.encode())
    root = etree.fromstring(parts(score)[0].data)
    kinds = [one.findtext("credit-type") for one in root.findall("credit")]
    assert kinds == ["title", "part name"]
    words = root.findall("credit/credit-words")[1]
    assert (words.get("default-x"), words.get("default-y")) == ("70", "1420")
    assert root.findtext("defaults/page-layout/page-width") == "1100"


HEAD = (
    "<work><work-title>{title}</work-title></work>{more}<identification>"
    '<creator type="composer">A. Quill</creator><creator type="arranger">B. Reed</creator>'
    "<rights>(c) nobody</rights></identification><part-list>"
)


@pytest.mark.parametrize(
    ("title", "more", "titles"),
    [
        ("Slow &amp; Low", "", [("title", "Slow & Low")]),
        ("", "<movement-title>Ebb</movement-title>", [("title", "Ebb")]),
        ("Ebb", "<movement-title>Ebb</movement-title>", [("title", "Ebb")]),
        (
            "Tides",
            "<movement-title>Ebb</movement-title>",
            [("title", "Tides"), ("subtitle", "Ebb")],
        ),
    ],
)
def test_titles_and_makers_are_printed_where_the_score_has_no_credits(
    title: str, more: str, titles: list[tuple[str, str]]
) -> None:
    head = HEAD.format(title=title, more=more)
    score = sketch("4/4 | C5w |").replace(b"<part-list>", head.encode())
    for data in (parts(score)[0].data, parts(rewriter.expand(score, "Vn I").score)[0].data):
        assert_valid(data)
        root = etree.fromstring(data)
        said = [
            (one.findtext("credit-type"), one.findtext("credit-words"))
            for one in root.findall("credit")
        ]
        makers = [("composer", "A. Quill"), ("arranger", "B. Reed"), ("rights", "(c) nobody")]
        names = {"Flute", "Violins I"}
        assert said[:-1] == [*titles, *makers]
        assert said[-1][0] == "part name"
        assert said[-1][1] in names


def test_credits_of_the_score_are_those_of_the_part() -> None:
    head = HEAD.format(title="Tides", more="")
    own = "<credit><credit-type>title</credit-type><credit-words>T</credit-words></credit>"
    head = head.replace("<part-list>", own + "<part-list>")
    score = sketch("4/4 | C5w |").replace(b"<part-list>", head.encode())
    root = etree.fromstring(parts(score)[0].data)
    assert [one.text for one in root.iterfind("credit/credit-words")] == ["T", "Flute"]


def test_bars_keep_their_numbers_and_are_numbered_by_system() -> None:
    score = against(
        "4/4 | pickup C4q | bar=7 C4w | bar=7a C4w |",
        "4/4 | pickup C5q | bar=7 C5w | bar=7a C5w |",
    )
    part = parts(score)[1]
    assert [(m.get("number"), m.get("implicit")) for m in measures(part)] == [
        ("0", "yes"),
        ("7", None),
        ("7a", None),
    ]
    assert texts(part, "measure-numbering") == [("0", "system")]


def test_the_scores_line_breaks_and_bar_widths_stay_behind() -> None:
    score = sketch("4/4 | C5w | D5w |").replace(
        b'<measure number="2">', b'<measure number="2" width="200"><print new-system="yes"/>'
    )
    part = parts(score)[0]
    assert b"new-system" not in part.data
    assert b"width=" not in part.data.split(b"<part ")[1]


def test_comments_and_other_parts_instruments_stay_behind() -> None:
    entry = (
        '<score-instrument id="{0}-I1"><instrument-name>Vn</instrument-name></score-instrument>'
    )
    score = sketch("4/4 | C5w |", tune="Vn", others={"Vla": "4/4 | C4w |"}).decode()
    for part in ("P1", "P2"):
        score = score.replace(
            "</part-name></score-part>",
            "</part-name>" + entry.format(part) + "</score-part>",
            1,
        )
    played = '<instrument id="P1-I1"/><voice>'
    first, second = parts(score.replace("<voice>", f"<!-- mine -->{played}").encode())
    assert b'<instrument id="P1-I1"/>' in first.data
    assert b"<instrument id" not in second.data
    assert b"<!-- " not in first.data + second.data


PLAYED = (
    '<sound{0}><midi-instrument id="P1-I1"><midi-program>49</midi-program></midi-instrument>'
    "</sound>",
    '<sound{0}><play id="P1-I1"><mute>straight</mute></play></sound>',
    '<sound{0}><midi-device id="P1-I1" port="2"/></sound>',
    '<sound{0}><instrument-change id="P1-I1"><solo/></instrument-change></sound>',
    "<direction><direction-type><words>mit Bogen</words></direction-type>"
    '<sound{0}><midi-instrument id="P1-I1"><pan>9</pan></midi-instrument></sound></direction>',
)


@pytest.mark.parametrize("said", PLAYED)
@pytest.mark.parametrize("more", ["", ' tempo="60"'])
def test_no_part_names_an_instrument_it_does_not_have(said: str, more: str) -> None:
    # These ids are of type IDREF (W3C MusicXML 4.0), which the schema follows.
    entry = (
        "</part-name><score-instrument id='{0}-I1'><instrument-name>Vn</instrument-name>"
        "</score-instrument></score-part>"
    )
    score = sketch("4/4 | C5w | D5w |", tune="Vn", others={"Vla": "4/4 | C4w | D4w |"}).decode()
    for part in ("P1", "P2"):
        score = score.replace("</part-name></score-part>", entry.format(part), 1)
    score = score.replace('<measure number="2">', '<measure number="2">' + said.format(more))
    first, second = parts(score.encode())
    assert_valid(first.data)
    assert_valid(second.data)
    assert b'id="P1-I1"' in first.data.split(b"<part ")[1]
    assert (b"<sound" in second.data) == bool(more)
    assert (b"mit Bogen" in second.data) == ("mit Bogen" in said)


def test_a_sound_with_an_offset_stands_at_the_moment_it_means() -> None:
    # half a bar in: two quarters, in divisions the other part does not count in
    sound = b'<sound tempo="60"><offset>8</offset></sound>'
    score = against("4/4 | C4h C4h |", "4/4 | C5w |")
    head, tail = score.split(b'<part id="P2">')
    head = head.replace(b"<divisions>1<", b"<divisions>4<")
    head = head.replace(b"<duration>4<", b"<duration>16<").replace(b"<note>", sound + b"<note>")
    measure = measures(parts(head + b'<part id="P2">' + tail)[1])[0]
    put = measure.find("sound")
    assert put is not None
    assert len(put) == 0
    notes = measure.findall("note")
    assert put.getprevious() is notes[0]
    assert put.getnext() is notes[1]


def test_tempo_and_rehearsal_marks_go_into_every_part() -> None:
    score = against("4/4 | C4w | C4h C4h |", "4/4 | tempo=96 C5w | mark=A C5h C5h |")
    second = parts(score)[1]
    assert_valid(second.data)
    assert texts(second, "per-minute") == [("1", "96")]
    assert texts(second, "rehearsal") == [("2", "A")]


def test_a_mark_inside_a_long_note_stands_before_it_with_an_offset() -> None:
    score = against("4/4 | C4w |", "4/4 | C5q C5q tempo=60 C5h |")
    measure = measures(parts(score)[1])[0]
    direction = measure.find("direction")
    assert direction is not None
    assert direction.findtext("offset") == "2"
    assert direction.find("offset").get("sound") == "yes"  # type: ignore[union-attr]  # read above
    following = direction.getnext()
    assert following is not None
    assert following.tag == "note"


def test_a_mark_is_not_said_twice() -> None:
    score = against("4/4 | mark=A C4w |", "4/4 | mark=A tempo=60 C5w |")
    first, second = parts(score)
    assert texts(second, "rehearsal") == [("1", "A")]
    assert texts(second, "per-minute") == [("1", "60")]
    assert texts(first, "rehearsal") == [("1", "A")]


def test_a_mark_on_a_lower_part_goes_up_too() -> None:
    score = against("4/4 | C4w | mark=A C4w |", "4/4 | C5w | C5w |")
    assert texts(parts(score)[0], "rehearsal") == [("2", "A")]


def test_segno_and_its_jump_go_into_every_part() -> None:
    jump = (
        b"<direction><direction-type><words>D.S.</words></direction-type>"
        b'<sound dalsegno="segno"/></direction></measure></part><part id="P2">'
    )
    score = against("4/4 | C4w | C4w |", "4/4 | C5w | C5w |").replace(
        b'</measure></part><part id="P2">', jump
    )
    second = parts(score)[1]
    assert_valid(second.data)
    assert texts(second, "words") == [("2", "D.S.")]
    assert b'dalsegno="segno"' in second.data


def test_long_rests_are_counted_and_a_single_bar_is_not() -> None:
    assert multi_rests(against("4/4 | R | R | R | C4w | R | C4w | R | R |")) == [
        ("1", "3"),
        ("7", "2"),
    ]


# Where a copyist breaks a rest; common practice, no source.
@pytest.mark.parametrize(
    ("music", "found"),
    [
        ("4/4 | R | R | mark=A R | R |", [("1", "2"), ("3", "2")]),
        ("4/4 | R | R | tempo=60 R | R |", [("1", "2"), ("3", "2")]),
        ('4/4 | R | R | "via sord." R | R |', [("1", "2"), ("3", "2")]),
        ("4/4 | R | R | key=2 R | R |", [("1", "2"), ("3", "2")]),
        ("4/4 | R | R | clef=alto R | R |", [("1", "2"), ("3", "2")]),
        ("4/4 | R | R |: R | R :| R | R |", [("1", "2"), ("3", "2"), ("5", "2")]),
        ("4/4 | R | R | ending=1 R | R | R |", [("1", "2"), ("4", "2")]),
    ],
)
def test_a_rest_breaks_where_the_player_must_see_something(
    music: str, found: list[tuple[str, str]]
) -> None:
    bars = music.replace("R", "C5w")
    assert multi_rests(against(f"{music} C4w |", f"{bars} C5w |")) == found


def test_a_rest_breaks_at_a_new_metre() -> None:
    score = against(
        "4/4 | R | R | 3/4 R | R | C4h. |", "4/4 | C5w | C5w | 3/4 C5h. | C5h. | C5h. |"
    )
    assert multi_rests(score) == [("1", "2"), ("3", "2")]


def test_a_rest_breaks_at_a_double_bar() -> None:
    double = b'<barline location="right"><bar-style>light-light</bar-style></barline>'
    score = against("4/4 | R | R | R | R | C4w |")
    head, tail = score.split(b'<part id="P2">')
    pieces = tail.split(b"</measure>")
    pieces[1] += double
    marked = head + b'<part id="P2">' + b"</measure>".join(pieces)
    assert multi_rests(marked) == [("1", "2"), ("3", "2")]


def test_a_fermata_bar_and_short_bars_stand_alone() -> None:
    fermata = against("4/4 | R | R | R | R | R | C4w |")
    head, tail = fermata.split(b'<part id="P2">')
    pieces = tail.split(b"</measure>")
    pieces[2] = pieces[2].replace(b"</note>", b"<notations><fermata/></notations></note>")
    marked = head + b'<part id="P2">' + b"</measure>".join(pieces)
    assert multi_rests(marked) == [("1", "2"), ("4", "2")]
    upbeat = against("4/4 | pickup rq | R | R | C4w |", "4/4 | pickup C5q | C5w | C5w | C5w |")
    assert multi_rests(upbeat) == [("1", "2")]


def test_a_rest_stops_before_a_fermata_of_the_others() -> None:
    plan = "".join(
        f'[[passage]]\nbars = "{bars}"\nstack = "{stack}"\n'
        for bars, stack in (("1", "Vn I"), ("2-5", "Vn II"), ("6", "Vn I"))
    )
    music = sketch("4/4 | C5w | D5w | E5w | F5h G5h^fermata | A5w | C5w |")
    score = expand(music, {"plan.toml": plan}, "plan.toml").score
    made = parts(score, cue_notes=2)
    assert multi_rests(score, 0) == [("2", "2")]
    assert made[0].cue_notes == 1
    for part in made[:2]:
        assert_valid(part.data)
        (held,) = etree.fromstring(part.data).iter("fermata")
        (note,) = held.iterancestors("note")
        assert note.findtext("duration") == "2"
        assert note.getparent().get("number") == "4"  # type: ignore[union-attr]  # a bar
    assert b"<fermata" not in made[2].data  # TACET


@pytest.mark.parametrize(
    ("resting", "held"),
    [("R", ["4"]), ("rh rq rq", ["1"]), ("rh. rq", ["3"]), ("rq rq rh^fermata", ["2"])],
)
def test_who_rests_in_any_score_sees_the_fermata_of_the_others(
    resting: str, held: list[str]
) -> None:
    score = against(
        f"4/4 | R | R | {resting} | R | R | C4w |",
        "4/4 | C5w | D5w | E5h F5q^fermata G5q | R | R | R |",
    )
    assert multi_rests(score) == [("1", "2"), ("4", "2")]
    part = parts(score)[1]
    assert_valid(part.data)
    notes = [one.getparent().getparent() for one in etree.fromstring(part.data).iter("fermata")]  # type: ignore[union-attr]  # notations, note
    assert [note.findtext("duration") for note in notes] == held


def test_a_tempo_inside_a_resting_bar_keeps_the_bar_by_itself() -> None:
    score = against(
        "4/4 | R | R | R | R | R | C4w |",
        "4/4 | C5w | C5w | C5h tempo=60 C5h | C5w | C5w | C5w |",
    )
    assert multi_rests(score) == [("1", "2"), ("4", "2")]


def test_the_rest_is_said_behind_the_marks_of_its_bar() -> None:
    # verovio 5 looks at nothing behind a multi-bar rest in a bar
    part = parts(against("4/4 | mark=A R | R | C4w |", "4/4 | C5w | C5w | C5w |"))[1]
    tags = [str(child.tag) for child in measures(part)[0]]
    assert tags == ["print", "attributes", "direction", "attributes", "note"]


def test_multi_bar_rests_the_score_has_are_made_anew() -> None:
    score = against("4/4 | R | mark=A R | R | C4w |", "4/4 | C5w | C5w | C5w | C5w |")
    head, tail = score.split(b'<part id="P2">')
    style = b"<measure-style><multiple-rest>3</multiple-rest></measure-style>"
    tail = tail.replace(b"<note>", b"<attributes>" + style + b"</attributes><note>", 1)
    assert multi_rests(head + b'<part id="P2">' + tail) == [("2", "2")]


def test_a_resting_section_is_tacet_or_left_out() -> None:
    score = against(
        "4/4 | R | R | 3/4 R |", '4/4 | tempo=60 C5w | mark=A C5w | 3/4 "poco" C5h. |'
    )
    first, second = parts(score)
    assert (first.tacet, second.tacet, second.bars) == (False, True, 3)
    assert_valid(second.data)
    assert texts(second, "words") == [("1", "TACET")]
    assert texts(second, "rehearsal") == []
    assert [part.name for part in parts(score, tacet=False)] == ["Violins"]


def test_file_names_are_safe_and_told_apart() -> None:
    names = ["Vn/I", "vn i", "..", "a" * 300, "Größe: 1"]
    made = file_names('C:\\quay "x"', names)
    assert made == [
        "C-quay-x-Vn-I.musicxml",
        "C-quay-x-vn-i-2.musicxml",
        "C-quay-x-part-3.musicxml",
        f"C-quay-x-{'a' * 60}.musicxml",
        "C-quay-x-Groe-1.musicxml",
    ]


def test_a_tacet_sheet_ends_with_the_scores_last_barline_and_repeats_nothing() -> None:
    score = against("|: 4/4 ending=1 R :|", "|: 4/4 ending=1 C5w :|")
    second = parts(score)[1]
    assert spanner_faults(second.data) == []
    assert [barline[0].text for barline in measures(second)[0].iter("barline")] == [
        "light-heavy"
    ]
    assert b"<repeat" not in second.data
