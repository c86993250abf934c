"""The tool's own output cut without a parse: it is what a parse of the same file gives."""

from pathlib import Path

import pytest
from lxml import etree

import rewriter
from rewriter.musicxml.saving import PLACEHOLDER, stamp
from rewriter.scores.quarters import in_quarters
from rewriter.scores.score import Part, Score, read_score

SCORES = Path(__file__).parents[2] / "scores"
HEAD = (
    '<!DOCTYPE score-partwise><score-partwise version="4.0"><identification><miscellaneous>'
    f'<miscellaneous-field name="content-digest">{PLACEHOLDER}</miscellaneous-field>'
    '</miscellaneous></identification><part-list><score-part id="P1"><part-name>Quay'
    "</part-name></score-part></part-list>"
)
PART = '<part id="P1"><measure number="1"/><measure number="2"></measure></part>'


@pytest.fixture(scope="module")
def own() -> bytes:
    return rewriter.expand(SCORES / "harbour-thaws.musicxml", "Vn I / Vla / Vc").score


def canonical(data: bytes) -> bytes:
    return etree.tostring(
        etree.fromstring(data, etree.XMLParser(remove_blank_text=True)), method="c14n"
    )


def music(score: Score) -> list[list[bytes]]:
    return [[canonical(bar) for bar in part.bars] for part in score.parts]


def happens(part: Part) -> list[list[tuple[object, ...]]]:
    read = in_quarters(part, range(len(part.bars)))
    return [
        [(e.onset, e.length, e.tag, canonical(e.data), e.place, e.pitch) for e in bar.events]
        for bar in read.values()
    ]


def test_a_cut_score_is_the_parsed_one(own: bytes) -> None:
    cut, parsed = read_score(own, trusted=True), read_score(own)
    assert (cut.own, parsed.own) == (True, False)
    assert music(cut) == music(parsed)
    assert [(p.id, p.name, p.sound) for p in cut.parts] == [
        (p.id, p.name, p.sound) for p in parsed.parts
    ]
    assert canonical(etree.tostring(cut.header)) == canonical(etree.tostring(parsed.header))
    assert list(map(happens, cut.parts)) == list(map(happens, parsed.parts))


def test_what_somebody_touched_is_parsed_however_little(own: bytes) -> None:
    assert not read_score(own.replace(b"</part>", b"</part> ", 1), trusted=True).own


@pytest.mark.parametrize(
    ("written", "bars"),
    [
        ("<!-- mine -->" + PART.replace("/>", "></measure>"), 2),  # more than the tool writes
        (PART, 2),  # an empty bar is no text to cut at
    ],
)
def test_a_forged_digest_over_other_text_is_parsed(written: str, bars: int) -> None:
    forged = stamp(f"{HEAD}{written}</score-partwise>".encode())
    found = read_score(forged, trusted=True)
    assert not found.own
    assert [len(part.bars) for part in found.parts] == [bars]


def test_bytes_have_the_name_that_is_asked_for() -> None:
    assert read_score(stamp(f"{HEAD}{PART}</score-partwise>".encode()), unnamed="cue").name == (
        "cue"
    )
