"""Bars of a section: copied whole from the tune, or put together note by note."""

import re

import pytest
from lxml import etree

import rewriter
from rewriter.notating.divided import numbered_apart
from tests.outside.reference import bar_lengths, heard_by_reference
from tests.outside.schema import assert_valid
from tests.outside.spans import spanner_faults, voice_faults
from tests.plain_xml import first_violins, parts_of, text_of
from tests.property.strategies import FEATURES, compose
from tests.shorthand import sketch

TUNE = (
    '4/4 key=2 tempo=96 p "dolce" | D4q( F#4e G4e) A4h^accent | < B4q. C#5e D5h~ ! | '
    "mf 3{ D5e E5e F#5e } G5q^trill `A5e F#5h | D5w^fermata |"
)


def bodies(part: etree._Element) -> list[str]:
    """Bars without their clefs, directions of who plays and numbers of voices."""
    return [
        re.sub(r"<clef>.*?</clef>|<transpose>.*?</transpose>", "", text_of(measure))
        for measure in part
    ]


def test_sections_in_unison_have_the_same_bars() -> None:
    made = rewriter.expand(sketch(TUNE), "Vn I loco + Vn II loco")
    first, second = parts_of(made.score)[:2]
    tempo = re.compile(r"<direction[^>]*>(?:(?!</direction>).)*<metronome>.*?</direction>")
    assert [tempo.sub("", bar) for bar in bodies(first)] == bodies(second)


def test_octaves_differ_in_nothing_but_octaves() -> None:
    made = rewriter.expand(sketch(TUNE), "Vn II 8va / Vn I")
    upper, lower = bodies(parts_of(made.score)[1]), bodies(parts_of(made.score)[0])
    octave = re.compile(r"<octave>(\d)</octave>")
    moved = [octave.sub(lambda m: f"<octave>{int(m[1]) + 1}</octave>", bar) for bar in lower]
    plain = re.compile(
        r"<direction[^>]*>(?:(?!</direction>).)*<(?:metronome|octave-shift).*?</direction>"
    )
    assert [plain.sub("", bar) for bar in moved] == [plain.sub("", bar) for bar in upper]


@pytest.mark.parametrize("seed", range(6))
def test_bars_put_together_note_by_note_are_the_same_bars(seed: int) -> None:
    made_up = compose(4, frozenset(FEATURES), seed)
    whole = rewriter.expand(made_up.data, "Vn I loco", tune=made_up.tune)
    divided = rewriter.expand(made_up.data, "half Vn I loco / half Vn I", tune=made_up.tune)
    assert_valid(divided.score)
    assert not spanner_faults(divided.score)
    assert not voice_faults(divided.score)
    assert bar_lengths(divided.score) == bar_lengths(whole.score)
    alone = heard_by_reference(whole.score)[0]
    both = heard_by_reference(divided.score)[0]
    below = [one._replace(midi=one.midi - 12) for one in alone]
    assert sorted(both) == sorted(alone + below)


def test_a_resting_section_has_whole_bar_rests() -> None:
    made = rewriter.expand(sketch(TUNE), "Vn I loco")
    for part in parts_of(made.score)[1:]:
        rests = part.findall(".//rest")
        assert [rest.get("measure") for rest in rests] == ["yes"] * 4
        assert part.find(".//pitch") is None


def test_a_rest_says_its_bar_in_any_metre() -> None:
    # rest measure="yes" stands for the bar whatever its length (W3C MusicXML 4.0, <rest>)
    made = rewriter.expand(sketch("5/8 | A4e B4q. A4e | 3/4 A4h. |"), "Vn I loco")
    violas = parts_of(made.score)[2]
    assert [e.text for e in violas.iter("duration")] == ["5", "6"]
    assert violas.find(".//type") is None


def test_a_closing_bar_that_makes_up_for_an_upbeat_rests_by_its_value() -> None:
    # a whole bar's rest would be counted as a whole bar (common practice, no source)
    made = rewriter.expand(sketch("3/4 pickup C5q | A4h. | A4h. | A4h |"), "Vn I loco")
    violas = parts_of(made.score)[2]
    written = [(e.findtext("type"), e.find("rest").get("measure")) for e in violas.iter("note")]
    quarter = ("quarter", None)
    assert written == [quarter, (None, "yes"), (None, "yes"), quarter, quarter]


def test_two_octaves_in_one_section_on_one_stem() -> None:
    made = rewriter.expand(sketch("4/4 | D5q E5q F5h |"), "Vn I loco / Vn I")
    part = first_violins(made)
    assert [n.find("chord") is not None for n in part.iter("note")] == [False, True] * 3
    assert {e.text for e in part.iter("voice")} == {"1"}


def test_the_low_note_of_a_stem_has_no_beam_lyric_or_slur_of_its_own() -> None:
    made = rewriter.expand(
        sketch("4/4 | (D5e_la E5e) F5q G5h |"), "Vn I loco / Vn I", keep_lyrics=True
    )
    below = [n for n in first_violins(made).iter("note") if n.find("chord") is not None]
    assert len(below) == 4
    assert not any(n.find("lyric") is not None or n.find(".//slur") is not None for n in below)


def test_lines_of_a_section_have_their_slurs_and_hairpins_numbered_apart() -> None:
    """Sixteen numbers (W3C MusicXML 4.0, number-level): eight each for two lines, from 1 on
    for the upper, from 9 on for the lower; five each for three."""
    slur = b'<slur type="start" number="%d"/>'
    assert numbered_apart(slur % 2, 0, 2) == slur % 2
    assert numbered_apart(slur % 1, 1, 2) == slur % 9
    assert numbered_apart(slur % 8, 1, 2) == slur % 16
    assert numbered_apart(slur % 9, 1, 2) == slur % 1
    assert numbered_apart(b'<wedge type="stop"/>', 2, 3) == b'<wedge type="stop" number="11"/>'
    assert numbered_apart(b"<tied/>", 1, 2) == b"<tied/>"


def test_who_rests_rests_for_an_upbeat_by_its_value_and_has_the_marks_of_the_score() -> None:
    music = "4/4 | pickup C4q D4 | mark=A E4w | E4w |"
    made = rewriter.expand(sketch(music), "Vla loco")
    parts = made.score.decode().split("</part>")
    for part in (0, 1):
        rests = re.findall(r'<rest( measure="yes")?/>|<type>(\w+)', parts[part])
        whole = (' measure="yes"', "")
        assert rests == [("", ""), ("", "half"), whole, whole]
    assert ["<rehearsal" in part for part in parts[:5]] == [True, False, False, False, False]
