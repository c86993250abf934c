"""The short score kept under the strings."""

from lxml import etree

import rewriter
from tests.outside.schema import assert_valid
from tests.plain_xml import bar_of, note, score
from tests.shorthand import sketch


def kept(data: bytes, layout: str = "Vn I") -> etree._Element:
    made = rewriter.expand(data, layout, keep_sketch=True)
    assert_valid(made.score)
    assert made.report.not_played == []
    return etree.fromstring(made.score)


def test_all_parts_stand_below_as_they_were() -> None:
    data = sketch("4/4 | A4w_la |", tune="Melody", others={"Bass": "4/4 | A2w |"})
    root = kept(data)
    ids = [part.get("id") for part in root.findall("part")]
    assert ids == ["P1", "P2", "P3", "P4", "P5", "sketch-P1", "sketch-P2"]
    old = etree.fromstring(data).findall("part")
    for before, after in zip(old, root.findall("part")[5:], strict=True):
        assert etree.tostring(before[0]).strip() == etree.tostring(after[0]).strip()


def test_they_come_after_the_strings_in_the_part_list() -> None:
    entries = kept(sketch("4/4 | A4w |", tune="Melody")).findall("part-list/score-part")
    assert [entry.findtext("part-name") for entry in entries][-1] == "Melody"


def test_names_of_instruments_are_kept_apart() -> None:
    # ids are unique in a document, and references find theirs (XML 1.0, ID and IDREF)
    sound = '<sound tempo="60"><midi-instrument id="P1-I1"/></sound>'
    playing = note("A4", 8).replace("</duration>", '</duration><instrument id="P1-I1"/>')
    data = score([bar_of(sound, playing)]).replace(
        b"</part-name>",
        b'</part-name><score-instrument id="P1-I1"><instrument-name>x</instrument-name>'
        b'</score-instrument><midi-instrument id="P1-I1"/>',
    )
    root = kept(data)
    ours = root.findall("part")[5]
    assert [e.get("id") for e in ours.iter("instrument", "midi-instrument")] == [
        "sketch-P1-I1", "sketch-P1-I1",
    ]  # fmt: skip


def test_groups_of_the_sketch_stay_closed() -> None:
    data = sketch("4/4 | A4w |", tune="Melody", others={"Bass": "4/4 | A2w |"})
    data = data.replace(
        b"<part-list>",
        b'<part-list><part-group type="start" number="1">'
        b"<group-symbol>brace</group-symbol></part-group>",
    ).replace(b"</part-list>", b'<part-group type="stop" number="1"/></part-list>')
    groups = kept(data).findall("part-list/part-group")
    assert [group.get("type") for group in groups] == ["start", "stop", "start", "stop"]


def test_nothing_of_it_without_asking() -> None:
    data = sketch("4/4 | A4w |", tune="Melody", others={"Bass": "4/4 | A2w |"})
    made = rewriter.expand(data, "Vn I")
    assert b"sketch-P" not in made.score
    assert made.report.not_played == ['"Bass" (P2)']
