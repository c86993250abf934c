"""Part lists changed, and parts with them; files and results written by hand."""

import pytest
from lxml import etree

from rewriter.editing.arranging import arranged
from rewriter.editing.edits import edited
from rewriter.editing.ids import with_own_ids
from rewriter.editing.part_entries import renamed, with_sound
from rewriter.editing.part_list import (
    Listed,
    changed,
    entry_of,
    grouped,
    moved,
    part_list,
    put_in,
    taken_out,
    ungrouped,
)
from rewriter.musicxml.note_reading import serialised
from rewriter.scores.score import Score, read_score
from tests.outside.reference import heard_by_reference
from tests.outside.schema import assert_valid
from tests.shorthand import sketch

STRINGS = ("A", "B", "C", "D")
BRACKET = (
    b"<part-group number='9' type='start'><group-symbol>bracket</group-symbol></part-group>"
)
GROUPS = (
    '<part-group number="1" type="start"/>', "A", '<part-group number="2" type="start"/>', "B",
    "C", '<part-group number="2" type="stop"/>', "D", '<part-group number="1" type="stop"/>',
)  # fmt: skip


def entry(name: str) -> str:
    return (
        f'<score-part id="{name}"><part-name>{name}</part-name>'
        f'<score-instrument id="{name}-I1">'
        f"<instrument-name>{name}</instrument-name></score-instrument></score-part>"
    )


def bar(name: str, number: int) -> str:
    rest = '<note><rest measure="yes"/><duration>4</duration></note>'
    return f"<!-- {name}{number} -->{rest}"


def partwise() -> bytes:
    listed = "\n    ".join(entry(one) if one in STRINGS else one for one in GROUPS)
    parts = "\n  ".join(
        f"<part id='{one}'>\n    <measure number='1'>{bar(one, 1)}</measure>\n    "
        f"<measure number='2'>{bar(one, 2)}</measure>\n  </part>"
        for one in STRINGS
    )
    return (
        f"<score-partwise version='4.0'>\n  <part-list>\n    {listed}\n  </part-list>\n  "
        f"{parts}\n</score-partwise>\n"
    ).encode()


def timewise() -> bytes:
    listed = "\n    ".join(entry(one) if one in STRINGS else one for one in GROUPS)
    bars = "\n  ".join(
        f"<measure number='{number}'>\n    "
        + "\n    ".join(f"<part id='{one}'>{bar(one, number)}</part>" for one in STRINGS)
        + "\n  </measure>"
        for number in (1, 2)
    )
    return (
        f"<score-timewise version='4.0'>\n  <part-list>\n    {listed}\n  </part-list>\n  "
        f"{bars}\n</score-timewise>\n"
    ).encode()


def shape(data: bytes) -> tuple[str, list[str]]:
    """The list as letters and brackets, and the parts in their order, bar by bar if need be."""
    root = etree.fromstring(data)
    listed = ""
    for child in root.find("part-list"):
        ends = {"start": "(", "stop": ")"}
        listed += child.get("id") or ends[child.get("type")]
    orders = {
        "".join(one.get("id") for one in holder.findall("part")) for holder in root.iter()
    }
    return listed, sorted(orders - {""})


both = pytest.mark.parametrize("data", [partwise(), timewise()], ids=["partwise", "timewise"])


def made(score: Score, listed: list[Listed]) -> bytes:
    data = edited(score, arranged(score, listed))
    assert_valid(data)
    return data


@both
def test_a_list_that_stays_changes_nothing(data: bytes) -> None:
    score = read_score(data)
    assert made(score, part_list(score)) == data


@both
def test_a_part_is_renamed_and_nothing_else_changes(data: bytes) -> None:
    score = read_score(data)
    listed = part_list(score)
    entry = renamed(entry_of(listed, "B").data, "Bratschen & Co", "Br.")
    assert made(score, changed(listed, "B", entry)) == data.replace(
        b"<part-name>B</part-name>",
        b"<part-name>Bratschen &amp; Co</part-name><part-abbreviation>Br.</part-abbreviation>",
    )


@both
def test_parts_move_with_their_entries_and_back(data: bytes) -> None:
    score = read_score(data)
    listed = part_list(score)
    there = made(score, moved(listed, "D", entry_of(listed, "B")))
    assert shape(there) == ("(A(DBC))", ["ADBC"])
    again = read_score(there)
    listed = part_list(again)
    assert made(again, moved(listed, "D", listed[-1])) == data


@both
def test_a_group_that_loses_its_parts_goes(data: bytes) -> None:
    score = read_score(data)
    listed = part_list(score)
    listed = moved(listed, "B", entry_of(listed, "A"))
    listed = moved(listed, "C", listed[-1])
    assert shape(made(score, listed)) == ("(BADC)", ["BADC"])


@both
def test_a_part_is_taken_out_of_list_and_music(data: bytes) -> None:
    score = read_score(data)
    listed = taken_out(taken_out(part_list(score), "B"), "C")
    there = made(score, listed)
    assert shape(there) == ("(AD)", ["AD"])
    assert b"<!-- D2 -->" in there


@both
def test_a_part_taken_out_and_put_in_again_leaves_no_trace(data: bytes) -> None:
    score = read_score(data)
    listed = part_list(score)
    less = read_score(edited(score, arranged(score, taken_out(listed, "D"))))
    part = score.parts[3]
    again = part_list(less)
    again = put_in(again, Listed(serialised(part.entry)), again[-1])
    bars = [one.replace(b'"', b"'") for one in part.bars]
    got = edited(less, arranged(less, again, {"D": bars}))
    assert got.replace(b'<part id="D">', b"<part id='D'>").replace(
        b'<rest measure="yes"/>', b"<rest measure='yes'/>"
    ) == data.replace(b'<rest measure="yes"/>', b"<rest measure='yes'/>")


@both
def test_a_part_from_elsewhere_gets_ids_of_its_own(data: bytes) -> None:
    score = read_score(data)
    other = etree.fromstring(partwise())
    for note in other.iter("note"):
        note.append(etree.fromstring('<instrument id="A-I1"/>'))
        note.set("id", "note")
        break
    other.find("part/measure/note/instrument").tail = "id='A' \n"
    source = read_score(etree.tostring(other)).parts[0]
    entry, bars = with_own_ids(score, serialised(source.entry), source.bars)
    assert b'<score-part id="A-2">' in entry
    assert b'<score-instrument id="A-I1-2">' in entry
    assert b'<instrument id="A-I1-2"/>' in bars[0]
    assert b"id='A'" in bars[0]
    listed = put_in(part_list(score), Listed(entry), None)
    bars[0] = bars[0].replace(b"id='A' \n", b"")
    there = edited(score, arranged(score, listed, {"A-2": bars}))
    assert_valid(there)
    assert shape(there) == ("(A(BC)D)A-2", ["ABCDA-2"])


@both
def test_groups_are_put_around_parts_and_taken_away(data: bytes) -> None:
    score = read_score(data)
    listed = part_list(score)
    there = made(score, grouped(listed, "B", "C", BRACKET))
    assert shape(there)[0] == "(A((BC))D)"
    assert b'<part-group number="3" type="start"><group-symbol>' in there
    again = read_score(there)
    listed = part_list(again)
    inner = next(one for one in listed if one.group == ("3", "start"))
    assert made(again, ungrouped(listed, inner)) == data
    with pytest.raises(ValueError, match="cannot be one group"):
        grouped(part_list(score), "A", "B", BRACKET)


def test_an_instrument_sounds_otherwise() -> None:
    plain = b'<score-part id="P1"><part-name>Vc &amp; B</part-name></score-part>'
    made = with_sound(plain, "strings.cello", taken={"P1-I1"})
    assert made == plain.replace(
        b"</part-name>",
        b'</part-name><score-instrument id="P1-I2"><instrument-name>Vc &amp; B'
        b"</instrument-name><instrument-sound>strings.cello</instrument-sound>"
        b"</score-instrument>",
    )
    assert with_sound(made, "strings.contrabass") == made.replace(b"cello", b"contrabass")


def test_a_name_that_was_displayed_otherwise_is_displayed_as_told() -> None:
    display = b"<part-name-display><display-text>X</display-text></part-name-display>"
    shown = (
        b"<score-part><part-name print-object='no'>A</part-name>" + display + b"</score-part>"
    )
    assert (
        renamed(shown, "B")
        == b"<score-part><part-name print-object='no'>B</part-name></score-part>"
    )
    other = display.replace(b"X", b"Y")
    assert renamed(shown, "B", name_display=other).endswith(other + b"</score-part>")
    short = shown.replace(
        b"<part-name-", b"<part-abbreviation>a</part-abbreviation><part-name-"
    )
    assert b"part-abbreviation" not in renamed(short, "B", "")


@pytest.mark.parametrize("fault", ["twice", "no music", "has 1 bars", "do not close"])
def test_lists_that_no_score_can_have_are_a_mistake_of_the_caller(fault: str) -> None:
    score = read_score(partwise())
    listed = part_list(score)
    new = Listed(entry("E").encode())
    wanted = {
        "twice": [*listed, listed[1]],
        "do not close": listed[:-1],
    }.get(fault, [*listed, new])
    music = {"E": score.parts[0].bars[:1]} if fault == "has 1 bars" else {}
    with pytest.raises(ValueError, match=fault):
        arranged(score, wanted, music)
    with pytest.raises(ValueError, match="no entry"):
        entry_of(listed, "E")


def test_parts_that_are_not_in_the_order_of_the_list_stay_so() -> None:
    data = partwise().replace(b"<part id='A'>", b"<part id='X'>")
    data = data.replace(b"<part id='B'>", b"<part id='A'>").replace(
        b"<part id='X'>", b"<part id='B'>"
    )
    score = read_score(data)
    listed = part_list(score)
    assert edited(score, arranged(score, listed)) == data
    assert shape(edited(score, arranged(score, taken_out(listed, "C"))))[1] == ["BAD"]


def test_a_part_without_an_entry_stays_behind_its_neighbour() -> None:
    data = partwise().replace(entry("B").encode(), b"")
    score = read_score(data)
    listed = part_list(score)
    moved_up = moved(listed, "D", entry_of(listed, "A"))
    assert shape(edited(score, arranged(score, moved_up)))[1] == ["DABC"]


def test_entries_out_of_entities_stand_in_full_from_then_on() -> None:
    doctype = b"<!DOCTYPE x [<!ENTITY e '" + entry("A").replace('"', "&#34;").encode() + b"'>]>"
    data = doctype + partwise().replace(entry("A").encode(), b"&e;")
    score = read_score(data)
    listed = part_list(score)
    there = made(score, moved(listed, "D", entry_of(listed, "B")))
    assert shape(there) == ("(A(DBC))", ["ADBC"])
    assert there.startswith(doctype)
    assert there[there.index(b"</part-list>") :].count(b"<!-- ") == 8


def test_a_list_that_is_an_entity_is_not_in_the_file() -> None:
    whole = partwise()
    start, stop = whole.index(b"<part-list>"), whole.index(b"</part-list>") + 12
    listed = whole[start:stop].replace(b"'", b"&#39;").replace(b'"', b"&#34;")
    data = (
        b"<!DOCTYPE x [<!ENTITY e '" + listed + b"'>]>" + whole[:start] + b"&e;" + whole[stop:]
    )
    with pytest.raises(ValueError, match="no <part-list>"):
        part_list(read_score(data))


def test_what_others_play_sounds_as_before() -> None:
    data = sketch("4/4 | C5w | D5w |", others={"Horn": "4/4 | E4w | F4w |"})
    score = read_score(data)
    listed = part_list(score)
    swapped = edited(score, arranged(score, moved(listed, "P2", listed[0])))
    assert heard_by_reference(swapped) == heard_by_reference(data)[::-1]
