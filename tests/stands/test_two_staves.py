"""Sections whose lines cross: two parts of the score on one page of two staves."""

from lxml import etree

from rewriter.stands.extraction import Part
from rewriter.verbs.parts import parts
from tests.outside.reference import bar_lengths, heard_by_reference, heard_in_xml
from tests.outside.schema import assert_valid
from tests.outside.spans import spanner_faults
from tests.shorthand import sketch

CELLO = (
    '<score-instrument id="{0}-I1"><instrument-name>Cello</instrument-name>'
    "<instrument-sound>strings.cello</instrument-sound></score-instrument>"
)


def score(second_name: str, *, second_id: str = "P2") -> bytes:
    data = sketch(
        "4/4 clef=bass | (C3h D3h | E3h) tempo=60 rh | R | R | C3w :|",
        tune="Violoncellos",
        others={
            second_name: "4/4 clef=bass | (E3q F3q G3h | C3h D3h) | R | R | (E3h D3h) :|",
            "Double Basses": "4/4 clef=bass | C3w | C3w | R | R | C3w :|",
        },
    ).decode()
    for part in ("P1", "P2"):
        data = data.replace(
            "</part-name></score-part>",
            "</part-name>" + CELLO.format(part) + "</score-part>",
            1,
        )
    return data.replace('"P2"', f'"{second_id}"').encode()


def names(made: list[Part]) -> list[str]:
    return [part.name for part in made]


def test_two_parts_of_one_section_become_two_staves() -> None:
    whole = score("Violoncellos 2", second_id="P1b")
    made = parts(whole)
    assert names(made) == ["Violoncellos", "Double Basses"]
    cellos = made[0].data
    assert_valid(cellos)
    assert spanner_faults(cellos) == []
    upper, lower, _ = heard_by_reference(whole)
    assert heard_in_xml(cellos, staff="1") == upper
    assert heard_in_xml(cellos, staff="2") == lower
    assert bar_lengths(cellos) == bar_lengths(whole)[:1]


def test_both_clefs_stand_at_the_beginning_and_barlines_once() -> None:
    root = etree.fromstring(parts(score("Violoncellos div."))[0].data)
    opening = root.find("part/measure/attributes")
    assert opening is not None
    assert opening.findtext("staves") == "2"
    assert [clef.get("number") for clef in opening.findall("clef")] == ["1", "2"]
    last = root.findall("part/measure")[-1]
    assert [child.tag for child in last].count("barline") == 1
    assert last[-1].tag == "barline"


def test_rests_are_counted_where_both_lines_rest() -> None:
    made = parts(score("Violoncellos 2"))[0]
    found = etree.fromstring(made.data).xpath("//measure[attributes/measure-style]/@number")
    assert (found, made.multi_bar_rests) == (["3"], 1)


def test_only_what_is_said_to_be_the_other_line_is_joined() -> None:
    for other in ("Violoncellos II", "Cellos", "Violoncelli 2"):
        assert names(parts(score(other))) == ["Violoncellos", other, "Double Basses"]


def test_second_violins_are_no_other_line_of_the_first() -> None:
    whole = score("Violin 2").replace(b"Violoncellos", b"Violin").replace(b"cello", b"violin")
    assert names(parts(whole)) == ["Violin", "Violin 2", "Double Basses"]


def test_a_lower_line_that_stops_early_is_filled_up() -> None:
    whole = score("Violoncellos 2").replace(b'<part id="P2">', b'<part id="P2" >')
    head, tail = whole.split(b'<part id="P2" >')
    first, rest = tail.split(b"</measure>", 1)
    note = first.rindex(b"<note>")  # C3h D3h stays E3q F3q G3h C3h without the last half
    short = head + b'<part id="P2">' + first[:note] + first[note:].partition(b"</note>")[2]
    made = parts(short + b"</measure>" + rest)[0]
    bar = etree.fromstring(made.data).find("part/measure")
    assert bar is not None
    moves = [(e.tag, e.findtext("duration")) for e in bar if e.tag in {"backup", "forward"}]
    whole_bar = int(bar.findtext("attributes/divisions") or 0) * 4
    assert moves == [("backup", str(whole_bar)), ("forward", str(whole_bar // 2))]
