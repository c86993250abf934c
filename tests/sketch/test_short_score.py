"""A short score read whole: nothing goes unsaid, lengths of bars, tempo of other parts."""

import re
from collections import Counter

import pytest
from lxml import etree

import rewriter
from rewriter.problems import Finding
from tests.outside.schema import assert_valid
from tests.plain_xml import (
    bar_of,
    direction,
    first_violins,
    note,
    parts_of,
    score,
    spelled,
    text_of,
)
from tests.property.strategies import FEATURES, compose
from tests.shorthand import sketch

STRUCTURE = frozenset(
    (
        # the new part has its own time, clefs and transposition, and writes rests anew
        "attributes", "divisions", "backup", "forward", "duration", "offset", "voice", "staff",
        "transpose", "note", "rest", "type", "dot", "direction", "direction-type", "notations",
        "technical", "ornaments", "articulations", "accidental", "measure-style", "clef",
        "alter",
    )
)  # fmt: skip
WITHIN = frozenset(
    (
        # parts of elements that are looked at themselves
        "sign", "line", "clef-octave-change", "diatonic", "chromatic", "octave-change",
        "double", "syllabic", "text", "root", "root-step", "root-alter", "kind", "figure",
        "figure-number", "system-layout", "system-distance", "natural", "artificial",
        "display-step", "display-octave", "slash",
    )
)  # fmt: skip
COUNTED_AS = {
    "lyric": "lyrics",
    "octave-shift": "8va lines",
    "harmony": "chord symbols",
    "figured-bass": "figured bass",
    "fingering": "fingerings",
    "thumb-position": "fingerings",
    "pluck": "fingerings",
    "string": "string numbers",
    "stem": "stems",
}
SAID = {"harmonic": "a harmonic", "open-string": "an open string sign"}
BUT = {"second voice", "two staves", "other parts", "chords", "cue notes", "unpitched notes"}


def tags_of(part: etree._Element) -> Counter[str]:
    return Counter(str(element.tag) for element in part.iter() if element is not part)


def said_in(findings: list[Finding], what: str) -> int:
    """How many signs a finding says are left out."""
    for finding in findings:
        if finding.rule == "not-true-here" and what in finding.text:
            more = re.search(r"and (\d+) more", finding.text)
            return 1 + int(more[1]) if more else 1
    return 0


@pytest.mark.parametrize("seed", range(12))
def test_nothing_of_the_tune_goes_without_being_counted(seed: int) -> None:
    made_up = compose(5, frozenset(FEATURES) - BUT, seed)
    made = rewriter.expand(made_up.data, "Vn I loco", tune=made_up.tune)
    before = tags_of(parts_of(made_up.data)[0])
    gone = before - tags_of(first_violins(made))
    gone["octave-shift"] = before["octave-shift"]  # those of the part are its own
    counted: Counter[str] = Counter()
    for tag, count in gone.items():
        if tag in COUNTED_AS:
            counted[COUNTED_AS[tag]] += count
        elif tag == "print":
            breaks = ("page and system breaks", "page settings")
            assert count == sum(made.report.dropped.get(kind, 0) for kind in breaks)
        elif tag in SAID:
            assert count == said_in(made.report.findings, SAID[tag])
        elif tag == "words":
            assert count == said_in(made.report.findings, '"sul ')
        elif tag == "notehead":
            assert gone["harmonic"] >= count, "the head of a harmonic goes with it"
        else:
            assert tag in STRUCTURE | WITHIN, f"{count} {tag} went unsaid"
    assert {kind: made.report.dropped.get(kind, 0) for kind in counted} == dict(counted)
    assert made.report.dropped.get("clefs", 0) == before["clef"]


def test_what_stands_once_for_a_chord_is_counted_once() -> None:
    chord = "<chord/>"
    staccato = "<notations><articulations><staccato/></articulations></notations>"
    arpeggio = "<notations><arpeggiate/></notations>"
    bars = [
        bar_of(
            note("C5", 4, staccato), note("E5", 4, staccato, before=chord),
            note("C5", 4, arpeggio), note("E5", 4, arpeggio, before=chord),
        )
    ]  # fmt: skip
    made = rewriter.expand(score(bars), "Vn I loco")
    assert made.report.kept == {"articulations": 1}
    assert made.report.dropped == {"arpeggios": 2, "lower notes of chords": 2}
    assert made.report.remarks == ["2 chords in the tune: their top notes are played"]
    divided = rewriter.expand(score(bars), "Vn I loco", chords="divide").report
    assert divided.kept == {"arpeggios": 2, "articulations": 2}
    assert divided.dropped == {}


def test_what_never_ends_is_not_counted_as_carried() -> None:
    slur = '<notations><slur type="start" number="1"/></notations>'
    report = rewriter.expand(score([bar_of(note("A4", 8, slur))]), "Vn I loco").report
    assert (report.kept, report.dropped) == ({}, {"slurs": 1})


def test_positions_and_colours_are_counted() -> None:
    placed = note("A4", 8).replace("<note>", '<note default-x="3" color="#000000" id="n1">')
    made = rewriter.expand(score([bar_of(placed)]), "Vn I loco")
    assert made.report.dropped == {
        "colours": 1, "element ids": 1, "positions on the page": 1,
    }  # fmt: skip
    assert b"default-x" not in made.score


def lengths(*bars: str, others: dict[str, list[str]] | None = None) -> list[str]:
    """Divisions of each bar in the part of a section that rests."""
    parts = {"Melody": list(bars), **(others or {})}
    made = rewriter.expand(score(parts), "Vn I loco")
    assert_valid(made.score)
    return [
        "+".join(e.text or "" for e in measure.iter("duration"))
        for measure in parts_of(made.score)[4]
    ]


def test_a_bar_is_as_long_as_its_music() -> None:
    assert lengths(bar_of(note("A4", 8)), note("A4", 8) + note("A4", 2), note("A4", 2)) == [
        "8", "10", "2",
    ]  # fmt: skip


def test_a_bar_without_music_is_as_long_as_its_metre() -> None:
    assert lengths(bar_of(note("A4", 8)), "", "") == ["8", "8", "8"]


def test_a_bar_the_tune_leaves_short_is_as_long_as_in_the_other_parts() -> None:
    four = "<divisions>12</divisions>"
    other = [bar_of(note("C4", 48), attributes=four), note("C4", 48)]
    assert lengths(bar_of(note("A4", 4)), note("A4", 4), others={"Bass": other}) == ["8", "8"]


def test_beats_in_an_upbeat_count_to_the_barline() -> None:
    # an upbeat of one beat is the fourth of four (common practice)
    upbeat = f'<measure number="0" implicit="yes">{bar_of(note("C2", 2))}</measure>'
    made = rewriter.expand(score([upbeat, note("A4", 8)]), "Vn I loco")
    assert [(f.place.bar, f.place.beat) for f in made.report.findings] == [("0", "4")]


def test_the_rest_of_a_divided_bar_counts_on() -> None:
    bars = [
        bar_of(note("A4", 8)),
        note("A4", 4),
        f'<measure number="X1" implicit="yes">{note("A4", 2)}{note("C2", 2)}</measure>',
    ]
    made = rewriter.expand(score(bars), "Vn I loco")
    assert [(f.place.bar, f.place.beat) for f in made.report.findings] == [("X1", "4")]


def test_lengths_that_need_finer_divisions_get_them() -> None:
    third = note("A4", 3).replace(">3<", ">1.5<")
    made = rewriter.expand(score([bar_of(third, third, note("A4", 5))]), "Vn I loco")
    part = first_violins(made)
    assert part.findtext(".//divisions") == "4"
    assert [e.text for e in part.iter("duration")] == ["3", "3", "10"]


def test_divisions_with_a_fraction() -> None:
    said = "<divisions>1.5</divisions>"
    bars = [bar_of(note("A4", 3), note("B4", 3), attributes=said)]
    part = first_violins(rewriter.expand(score(bars), "Vn I loco"))
    assert part.findtext(".//divisions") == "3"
    assert [e.text for e in part.iter("duration")] == ["6", "6"]


def test_divisions_that_change_are_one_number_in_the_output() -> None:
    bars = [
        bar_of(note("A4", 8)),
        bar_of(note("B4", 12).replace("<duration>12", "<duration>24"),
               attributes="<divisions>6</divisions>"),
    ]  # fmt: skip
    part = first_violins(rewriter.expand(score(bars), "Vn I loco"))
    assert [e.text for e in part.iter("divisions")] == ["6"]
    assert [e.text for e in part.iter("duration")] == ["24", "24"]


def test_in_another_key_a_part_without_one_says_so() -> None:
    said = "<divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
    bars = [bar_of(note("E5", 8), attributes=said)]
    part = first_violins(rewriter.expand(score(bars), "Vn I loco", by="up M2"))
    assert spelled(part) == ["F#5"]
    assert part.findtext(".//fifths") == "2"


def test_a_tune_of_one_note() -> None:
    made = rewriter.expand(sketch("1/4 | A4q |"), "Vn I loco / Vc")
    assert made.report.bars == 1
    assert made.report.passages[0].stack == "Vn I loco / Vc"


def test_a_tune_that_begins_after_three_hundred_bars_of_rest() -> None:
    bars = [bar_of(note("r", 8)), *[""] * 299, note("A4", 8)]
    made = rewriter.expand(score(bars), "Vn I / Vn II")
    assert made.report.bars == 301
    assert made.report.lines[0].lowest is not None
    assert made.report.lines[0].lowest.bars == ["301"]


def test_signs_for_everybody_in_a_bar_the_tune_rests_in() -> None:
    bars = [bar_of(direction("<segno/>"), note("r", 8)), note("A4", 8)]
    made = rewriter.expand(score(bars), "Vn I loco")
    assert [text_of(part).count("<segno/>") for part in parts_of(made.score)] == [1] * 5
