"""Where bars stand in the bytes of a file, whatever its encoding and order."""

import pytest
from lxml import etree

from rewriter.editing.splicing import spliced
from rewriter.scores.score import Score, read_score
from rewriter.scores.text import bar_spans, outline, text_of

NOTE = "<note><rest/><duration>4</duration></note>"
HEAD = (
    '<part-list><score-part id="P1"><part-name>Flöte</part-name></score-part>'
    '<score-part id="P2"><part-name>B</part-name></score-part></part-list>'
)
PARTWISE = (
    f"<score-partwise>\n{HEAD}\n<!-- <measure> --><part id='P1'>\n"
    f'  <measure number="1" text="a>b">{NOTE}<!-- </measure> --></measure>\n'
    f'  <measure number="2">{NOTE}</measure>\n</part>\n'
    f'<part id="P2"><measure number="1">{NOTE}</measure><measure number="2"/></part>\n'
    "</score-partwise>\n"
)
TIMEWISE = (
    f'<score-timewise>{HEAD}<measure number="1"><part id="P1">{NOTE}</part>'
    f'<part id="P2">{NOTE}</part></measure>\n'
    f'<measure number="2"><part id="P2"/></measure></score-timewise>'
)


def at(score: Score, part: int, bar: int) -> bytes:
    span = score.place(part, bar)
    assert span is not None
    return score.text.data[span.start : span.stop]


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "iso-8859-1", "utf-16", "windows-1252"]
)
def test_a_bar_is_found_in_any_encoding_and_the_file_comes_back_whole(encoding: str) -> None:
    declared = "utf-8" if encoding == "utf-8-sig" else encoding
    data = f'<?xml version="1.0" encoding="{declared}"?>\n{PARTWISE}'.encode(encoding)
    score = read_score(data)
    assert at(score, 0, 0).startswith(b'<measure number="1" text="a>b">')
    assert at(score, 0, 0).endswith(b"<!-- </measure> --></measure>")
    assert at(score, 1, 1) == b'<measure number="2"/>'
    assert spliced(score, []) == data
    assert not score.text.rebuilt


def test_in_a_score_sorted_by_bars_a_bar_is_the_part_in_it() -> None:
    score = read_score(TIMEWISE.encode())
    assert at(score, 1, 0) == f'<part id="P2">{NOTE}</part>'.encode()
    assert score.place(0, 1) is None
    assert at(score, 1, 1) == b'<part id="P2"/>'


def test_a_tree_is_not_changed_and_has_places_in_what_lxml_writes_of_it() -> None:
    tree = etree.fromstring(PARTWISE)
    before = etree.tostring(tree)
    score = read_score(tree)
    assert at(score, 0, 1) == f'<measure number="2">{NOTE}</measure>'.encode()
    assert etree.tostring(tree) == before


def test_bars_out_of_entities_have_places_in_a_text_that_is_made_anew() -> None:
    bar = f"<measure>{NOTE}</measure>"
    entity = f"<!DOCTYPE score-partwise [<!ENTITY bar '{bar}'>]>"
    data = f"{entity}<score-partwise>{HEAD}<part id='P1'>&bar;&bar;</part></score-partwise>"
    score = read_score(data.encode())
    assert score.text.rebuilt
    assert at(score, 0, 1) == bar.encode()


def test_comments_and_unknown_elements_are_in_the_bars() -> None:
    score = read_score(PARTWISE.encode())
    assert score.parts[0].children(0) == [NOTE.encode(), b"<!-- </measure> -->"]
    assert score.asides == 2


def test_spans_of_two_parts_with_one_id_are_told_as_one() -> None:
    assert bar_spans(outline(b'<s><part id="A"><measure/></part><part id="A"/></s>')) == {
        "A": [(16, 26)]
    }


def test_a_text_that_declares_what_it_is_not_is_read_as_utf8() -> None:
    assert text_of(b'<?xml version="1.0" encoding="utf-16"?><x/>').encoding == "utf-8"


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be"])
def test_two_bytes_a_character_are_seen_without_a_mark(encoding: str) -> None:
    assert text_of("<x/>".encode(encoding)).encoding == encoding
