"""Whole bars put in, brought over and taken out; files and results written by hand."""

import pytest
from lxml import etree

from rewriter.editing.bars import bars_put_in, bars_taken_out
from rewriter.editing.edits import InBar, edited
from rewriter.editing.elements import with_attribute
from rewriter.editing.fitting import brought_over, fitted
from rewriter.scores.score import Score, read_score
from tests.outside.reference import heard_by_reference
from tests.outside.schema import assert_valid
from tests.shorthand import sketch

REST = b"<note><rest/><duration>4</duration></note>"
HERE = sketch(
    "4/4 key=-1 clef=alto | C4w | D4w | E4w |", others={"Horn": "4/4 | G3w | A3w | B3w |"}
)
THERE = sketch("3/4 key=2 | 3{F#5e G5e A5e} B5h | C#6h. | D6h. |")


def pitches(data: bytes, part: int = 0) -> list[float]:
    return [note.midi for note in heard_by_reference(data)[part]]


def kinds(data: bytes, part: int, bar: int) -> list[list[str]]:
    """What the ``<attributes>`` of a bar say."""
    measure = etree.fromstring(data).findall("part")[part].findall("measure")[bar]
    return [[child.tag for child in one] for one in measure.findall("attributes")]


def put_in(score: Score, before: int) -> bytes:
    bars, after = fitted(score, InBar(0, before), read_score(THERE), InBar(0, 0), count=2)
    horn, more = fitted(score, InBar(1, before), score, InBar(1, 0), count=2)
    named = [with_attribute(bar, "number", f"x{n}") for n, bar in enumerate(bars)]
    edits = bars_put_in(score, before, {0: named, 1: horn})
    data = edited(score, [*edits, *after, *more])
    assert_valid(data)
    return data


def test_bars_say_what_is_in_force_in_them_and_the_next_what_was() -> None:
    score = read_score(HERE)
    data = put_in(score, 1)
    heard = heard_by_reference(data)
    assert pitches(data) == [60, 78, 79, 81, 83, 85, 62, 64]
    assert pitches(data, 1) == [55, 55, 57, 57, 59]
    assert [float(note.length) for note in heard[0]][4:] == [2, 3, 4, 4]
    assert kinds(data, 0, 1) == [["divisions", "key", "time", "clef"]]
    assert kinds(data, 0, 2) == [["divisions"]]
    assert kinds(data, 0, 3) == [["key", "time", "clef"]]
    numbers = [one.get("number") for one in etree.fromstring(data).findall("part")[0]]
    assert numbers == ["1", "x0", "x1", "2", "3"]


def test_before_the_first_bar_nothing_is_in_force_and_behind_the_last_nothing_comes() -> None:
    score = read_score(HERE)
    data = put_in(score, 0)
    assert pitches(data) == [
        78,
        79,
        81,
        83,
        85,
        60,
        62,
        64,
    ]
    assert kinds(data, 0, 2) == kinds(HERE, 0, 0)
    data = put_in(score, 3)
    assert pitches(data) == [
        60,
        62,
        64,
        78,
        79,
        81,
        83,
        85,
    ]
    assert kinds(data, 0, 4) == []


def test_what_is_the_same_is_not_said() -> None:
    score = read_score(HERE)
    bars, after = fitted(score, InBar(0, 2), score, InBar(0, 1))
    assert after == []
    assert bars == [score.parts[0].bars[1]]


def test_bars_put_in_and_taken_out_leave_no_trace() -> None:
    score = read_score(HERE)
    bars, _ = fitted(score, InBar(0, 2), score, InBar(0, 1))
    more = read_score(edited(score, bars_put_in(score, 2, {0: bars, 1: bars})))
    assert len(more.parts[1].bars) == 4
    assert edited(more, bars_taken_out(more, 2, 1)) == HERE


def test_what_bars_said_that_go_the_next_one_says() -> None:
    score = read_score(HERE)
    data = edited(score, bars_taken_out(score, 0, 2))
    assert_valid(data)
    assert pitches(data) == [64]
    assert kinds(data, 0, 0) == [["key", "time", "clef"]]
    assert kinds(data, 1, 0) == [["time"]]


def test_one_part_of_a_score_sorted_by_parts_can_lose_bars() -> None:
    score = read_score(HERE)
    data = edited(score, bars_taken_out(score, 1, 1, parts=[1]))
    assert [len(part.bars) for part in read_score(data).parts] == [3, 2]
    assert data.startswith(HERE[: HERE.index(b'<part id="P2">')])


def test_a_bar_is_brought_over_another() -> None:
    score = read_score(HERE)
    data = edited(score, brought_over(score, InBar(0, 1), read_score(THERE), InBar(0, 0)))
    assert_valid(data)
    assert pitches(data) == [60, 78, 79, 81, 83, 64]
    assert kinds(data, 0, 1) == [["divisions", "key", "time", "clef"], ["divisions"]]
    assert kinds(data, 0, 2) == [["key", "time", "clef"]]
    assert data.split(b'<part id="P2">')[1] == HERE.split(b'<part id="P2">')[1]


def test_the_page_is_that_of_the_score() -> None:
    breaks = [b'<print new-page="yes"/>', b'<print new-system="yes"><!-- x --></print>']
    here, there = (
        data.replace(b'<measure number="2">', b'<measure number="2">' + one)
        for data, one in zip((HERE, THERE), breaks, strict=True)
    )
    score = read_score(here)
    data = edited(score, brought_over(score, InBar(0, 1), read_score(there), InBar(0, 1)))
    assert_valid(data)
    assert b'<measure number="2"><print new-page="yes"/><attributes>' in data
    assert b"new-system" not in data


def timewise_of(data: bytes) -> bytes:
    """A score sorted by bars instead of parts."""
    root = etree.fromstring(data)
    turned = etree.Element("score-timewise", dict(root.attrib))
    turned.append(root.find("part-list"))
    parts = root.findall("part")
    for number in range(len(parts[0])):
        bar = etree.SubElement(turned, "measure", number=str(number + 1))
        for part in parts:
            etree.SubElement(bar, "part", id=part.get("id")).extend(list(part[number]))
    return etree.tostring(turned)


def test_bars_of_another_score_fit_one_that_is_sorted_by_bars() -> None:
    score = read_score(timewise_of(HERE))
    data = put_in(score, 1)
    assert pitches(data) == [60, 78, 79, 81, 83, 85, 62, 64]
    assert pitches(data, 1) == [55, 55, 57, 57, 59]
    over = edited(score, brought_over(score, InBar(0, 1), read_score(THERE), InBar(0, 0)))
    assert pitches(over) == [60, 78, 79, 81, 83, 64]
    less = edited(score, bars_taken_out(score, 0, 2))
    assert_valid(less)
    assert pitches(less) == [64]


def test_nothing_is_said_again_that_the_next_bar_says_itself() -> None:
    score = read_score(sketch("4/4 clef=alto | C4w | 3/4 key=1 clef=bass D4h. | E4h. |"))
    source = read_score(sketch("4/4 key=3 | C5w |"))
    edits = brought_over(score, InBar(0, 0), source, InBar(0, 0))
    assert [edit.where for edit in edits] == [InBar(0, 0)]


def timewise() -> bytes:
    parts = "\n    ".join(f"<part id='P{n}'>\n      {REST.decode()}</part>" for n in (1, 2))
    bars = "\n  ".join(f"<measure number='{n}'>\n    {parts}\n  </measure>" for n in (1, 2))
    entries = "".join(
        f"<score-part id='P{n}'><part-name>{n}</part-name></score-part>" for n in (1, 2)
    )
    return (
        f"<score-timewise version='4.0'>\n  <part-list>{entries}</part-list>\n  {bars}\n"
        "</score-timewise>"
    ).encode()


def test_a_score_sorted_by_bars_takes_bars_of_all_its_parts() -> None:
    score = read_score(timewise())
    bars = {part: [score.parts[part].bars[0].replace(b'"1"', b"'1a'")] for part in (0, 1)}
    data = edited(score, bars_put_in(score, 1, bars))
    whole = timewise().split(b"<measure")[1]
    wanted = timewise().replace(
        b"<measure number='2'>",
        b"<measure" + whole.replace(b"'1'", b"'1a'").replace(b"='P1'", b'="P1"').replace(
            b"='P2'", b'="P2"'
        ) + b"<measure number='2'>",
    )  # fmt: skip
    assert data == wanted
    assert_valid(data)
    again = read_score(data)
    assert edited(again, bars_taken_out(again, 1, 1)) == timewise()
    with pytest.raises(ValueError, match="all its parts"):
        bars_put_in(score, 1, {0: bars[0]})
    with pytest.raises(ValueError, match="all its parts"):
        bars_taken_out(score, 1, 1, parts=[0])


def test_new_children_stand_in_line() -> None:
    indented = HERE.replace(b"><note>", b">\r\n\t<note>").replace(b"</note><", b"</note>\r\n<")
    score = read_score(indented)
    source = read_score(THERE)
    data = edited(score, brought_over(score, InBar(1, 1), source, InBar(0, 2)))
    bar = data[data.index(b"<measure", data.index(b'<part id="P2">') + 200) :]
    assert b">\r\n\t<attributes>" in bar
    assert b"\r\n\t<note>" in bar
    assert b"</note>\r\n</measure>" in bar


def test_instruments_of_the_other_score_are_not_named() -> None:
    named = b'<instrument id="P9-I1"/>'
    there = sketch("4/4 | C5w |").replace(b"<voice>", named + b"<voice>")
    score = read_score(HERE)
    data = edited(score, brought_over(score, InBar(0, 1), read_score(there), InBar(0, 0)))
    assert named not in data
    assert_valid(data)


def test_bars_that_are_not_there_are_a_mistake_of_the_caller() -> None:
    score = read_score(HERE)
    with pytest.raises(ValueError, match="there are no 2 bars"):
        fitted(score, InBar(0, 0), score, InBar(0, 2), count=2)
