"""Edits child by child, and the files they are put into; files and results written by hand."""

import pytest
from lxml import etree

from rewriter.editing.edits import (
    Edit,
    InBar,
    InHeader,
    Inserted,
    Refilled,
    Removed,
    Replaced,
    edited,
)
from rewriter.editing.splicing import Change, spliced
from rewriter.scores.score import read_score

REST = b"<note><rest/><duration>4</duration></note>"
SHORT = b"<note><rest/><duration>2</duration></note>"
HEAD = (
    b"<part-list>\n  <score-part id='P1'><part-name>A</part-name></score-part>\n"
    b"  <score-part id='P2'><part-name>B</part-name></score-part>\n</part-list>"
)


def partwise(bars: bytes, doctype: bytes = b"", head: bytes = HEAD) -> bytes:
    return (
        doctype + b"<score-partwise>\n<work/>" + head + b"<part id='P1'>" + bars
        + b"</part><part id='P2'><measure/></part></score-partwise>"
    )  # fmt: skip


@pytest.mark.parametrize(
    "edits",
    [
        [Replaced(InBar(0, 0), 0, REST), Removed(InBar(0, 0), 0)],
        [Replaced(InBar(0, 0), 0, REST), Replaced(InBar(0, 0), 0, REST)],
        [Refilled(InBar(0, 0), b""), Inserted(InBar(0, 0), 0, REST)],
        [Refilled(InBar(0, 0), b""), Refilled(InBar(0, 0), b"")],
        [Replaced(InBar(0, 0), 1, REST)],
        [Inserted(InBar(0, 0), 2, REST)],
        [Removed(InBar(0, 0), -1)],
        [Replaced(InHeader(), 1, b"<part-list/>"), Removed(InHeader("part-list"), 0)],
        [Refilled(InHeader(), b"<part-list/>"), Removed(InHeader("part-list"), 0)],
        [Removed(InHeader("credit"), 0)],
    ],
)
def test_edits_that_cannot_all_be_made_are_a_mistake_of_the_caller(edits: list[Edit]) -> None:
    with pytest.raises(ValueError, match=r"two|such|anew|inside|before"):
        edited(read_score(partwise(b"<measure>" + REST + b"</measure>")), edits)


def test_what_stands_before_the_parts_is_edited_like_a_bar() -> None:
    data = partwise(b"<measure/>")
    edits: list[Edit] = [
        Inserted(InHeader(), 1, b"<movement-title>Lantern</movement-title>"),
        Replaced(InHeader("part-list"), 1, b'<score-part id="P2"/>'),
    ]
    assert edited(read_score(data), edits) == data.replace(
        b"<work/>", b"<work/><movement-title>Lantern</movement-title>"
    ).replace(
        b"<score-part id='P2'><part-name>B</part-name></score-part>", b'<score-part id="P2"/>'
    )


def test_a_bar_written_as_one_tag_is_opened() -> None:
    data = partwise(b"<measure/>")
    edits = [Inserted(InBar(1, 0), 0, REST), Inserted(InBar(1, 0), 0, SHORT)]
    assert edited(read_score(data), edits) == data.replace(
        b"<part id='P2'><measure/>", b"<part id='P2'><measure>" + REST + SHORT + b"</measure>"
    )


@pytest.mark.parametrize(("part", "other"), [(0, 1), (1, 0)])
def test_a_part_that_a_bar_leaves_out_is_put_beside_the_others(part: int, other: int) -> None:
    left = b"<part id='P%d'>%b</part>" % (other + 1, REST)
    data = (
        b"<score-timewise>" + HEAD + b"<measure><part id='P1'/><part id='P2'/></measure>"
        b"<measure>\n" + left + b"\n</measure></score-timewise>"
    )
    new = b'<part id="P%d">%b</part>' % (part + 1, SHORT)
    both = new + left if part < other else left + new
    assert edited(read_score(data), [Inserted(InBar(part, 1), 0, SHORT)]) == data.replace(
        left, both
    )


def test_parts_that_a_bar_leaves_out_come_in_the_order_of_the_score() -> None:
    head = HEAD.replace(b"</part-list>", b"<score-part id='P3'/></part-list>")
    first = b"<measure><part id='P1'/><part id='P2'/><part id='P3'/></measure>"
    data = b"<score-timewise>" + head + first + b"<measure><part id='P1'/></measure>"
    data += b"</score-timewise>"
    edits = [Inserted(InBar(2, 1), 0, SHORT), Inserted(InBar(1, 1), 0, REST)]
    made = edited(read_score(data), edits)
    assert made.endswith(
        b"<measure><part id='P1'/>" + b'<part id="P2">' + REST + b'</part><part id="P3">'
        + SHORT + b"</part></measure></score-timewise>"
    )  # fmt: skip


def test_a_bar_whose_notes_come_out_of_an_entity_is_written_in_full() -> None:
    doctype = b"<!DOCTYPE score-partwise [<!ENTITY n '" + SHORT + b"'>]>"
    data = partwise(b"<measure>&n;<!-- x -->&n;</measure><measure>&n;</measure>", doctype)
    made = edited(read_score(data), [Replaced(InBar(0, 0), 1, REST)])
    assert made == data.replace(b"&n;<!-- x -->&n;", SHORT + b"<!-- x -->" + REST)


def test_bars_that_come_out_of_entities_are_written_into_the_text_that_was_read() -> None:
    doctype = b"<!DOCTYPE score-partwise [<!ENTITY bar '<measure>" + SHORT + b"</measure>'>]>"
    score = read_score(partwise(b"&bar;&bar;", doctype))
    made = etree.fromstring(edited(score, [Replaced(InBar(0, 1), 0, REST)]))
    assert [note.findtext("duration") for note in made.iter("note")] == ["2", "4"]


@pytest.mark.parametrize("encoding", ["iso-2022-jp", "shift_jis", "gb18030", "koi8-r"])
def test_letters_stay_as_they_were_written_in_encodings_of_many_bytes(encoding: str) -> None:
    word = {"koi8-r": "ля"}.get(encoding, "音")
    head = HEAD.replace(b">A<", b">@<")
    raw = partwise(b"<measure>" + REST + b"<!-- @ --></measure>", head=head).decode()
    text = f'<?xml version="1.0" encoding="{encoding}"?>' + raw.replace("@", word)
    data = text.encode(encoding)
    new = f"<note><rest/><!-- {word} --></note>"
    made = edited(read_score(data), [Replaced(InBar(0, 0), 0, new.encode())])
    assert made == text.replace(REST.decode(), new).encode(encoding)


def test_two_ways_to_write_a_letter_are_kept_apart() -> None:
    # Of the two that code page 932 has for this sign, programs write back only one.
    first, second = b"\x81\xca", b"\xee\xf9"
    assert first.decode("cp932") == second.decode("cp932")
    head = HEAD.replace(b">A<", b">" + first + second + b"<")
    data = b'<?xml version="1.0" encoding="cp932"?>' + partwise(
        b"<measure>" + REST + b"</measure>", head=head
    )
    made = edited(read_score(data), [Replaced(InBar(0, 0), 0, SHORT)])
    assert made == data.replace(REST, SHORT)


def test_letters_beyond_ascii_are_written_by_number_where_a_file_says_it_has_none() -> None:
    data = b'<?xml version="1.0" encoding="us-ascii"?>' + partwise(
        b"<measure>" + REST + b"</measure>"
    )
    new = "<note><rest/><!-- x --><lyric><text>ü</text></lyric></note>"
    made = edited(read_score(data), [Replaced(InBar(0, 0), 0, new.encode())])
    assert made == data.replace(REST, new.encode("ascii", "xmlcharrefreplace"))
    assert etree.fromstring(made).findtext(".//text") == "ü"


def test_a_tree_is_edited_in_what_lxml_writes_of_it() -> None:
    tree = etree.fromstring(partwise(b"<measure>" + REST + b"</measure>"))
    before = etree.tostring(tree)
    made = edited(read_score(tree), [Replaced(InBar(0, 0), 0, SHORT)])
    assert made.count(SHORT) == 1
    assert etree.tostring(tree) == before
    assert etree.tostring(etree.fromstring(made)) == before.replace(REST, SHORT)


def test_bytes_that_are_no_letters_are_written_as_they_came() -> None:
    # Letters that code page 932 has and Shift JIS has not: some readers let them pass.
    stray = b"\x87\x40"
    note = b"<note><rest/><lyric><text>" + stray + b"</text></lyric></note>"
    score = read_score(partwise(b"<measure>" + REST + b"</measure>"))
    change = Change(*score.place(0, 0), b"<measure>" + note + "ü</measure>".encode())
    made = spliced(score, [change])
    assert stray in made
    assert "ü".encode() in made
