"""Clefs, keys, metres and transpositions: what they say, what cannot be, and who says so."""

import pytest
from lxml import etree

from rewriter.editing.setting import setting_before
from rewriter.problems import Refused
from rewriter.scores.events import Slip
from rewriter.scores.in_force import PartInForce
from rewriter.scores.reading import Reading
from rewriter.scores.score import read_score
from rewriter.scores.staff_signs import read_key, read_transposition
from rewriter.scores.voices import voices_of
from rewriter.sketch.signatures import transposition
from rewriter.stands.in_force import Stand, Stands
from rewriter.theory.fifths import Interval
from rewriter.theory.metre import metre_from_times
from tests.plain_xml import COMMON, bar_of, note, score

# W3C MusicXML 4.0, <transpose>: what is added to the written pitch to get the sounding one;
# the intervals as treatises on instrumentation give them.
INSTRUMENTS = {
    "clarinet in B flat": ("<diatonic>-1</diatonic><chromatic>-2</chromatic>", (-1, -2)),
    "clarinet in E flat": ("<diatonic>2</diatonic><chromatic>3</chromatic>", (2, 3)),
    "horn in F, steps not said": ("<chromatic>-7</chromatic>", (-4, -7)),
    "baritone saxophone": (
        "<diatonic>-5</diatonic><chromatic>-9</chromatic><octave-change>-1</octave-change>",
        (-12, -21),
    ),
    "glockenspiel, two octaves": (
        "<chromatic>0</chromatic><octave-change>2</octave-change>", (14, 24)
    ),
    "as far as five octaves": ("<diatonic>35</diatonic><chromatic>60</chromatic>", (35, 60)),
    "a tritone, steps not said: a fourth": ("<chromatic>6</chromatic>", (3, 6)),
    "a ninth, steps not said": ("<chromatic>14</chromatic>", (8, 14)),
}  # fmt: skip
IMPOSSIBLE = {
    "<transpose><chromatic>x</chromatic></transpose>": ("transposition", "x"),
    "<transpose><chromatic>nan</chromatic></transpose>": ("transposition", "nan"),
    "<transpose><chromatic>0</chromatic><octave-change>inf</octave-change></transpose>":
        ("transposition", "inf"),
    "<transpose><diatonic>61</diatonic><chromatic>0</chromatic></transpose>":
        ("transposition", "61"),
    "<key><fifths>1e999</fifths></key>": ("key", "1e999"),
    "<key><fifths>12</fifths></key>": ("key", "12"),
    "<key><key-step>H</key-step><key-alter>1</key-alter></key>": ("key", "H"),
    "<key><key-step>F</key-step><key-alter>5</key-alter></key>": ("key", "5"),
    "<clef><sign>G</sign><clef-octave-change>inf</clef-octave-change></clef>": ("clef", "inf"),
    "<time><beats>0</beats><beat-type>4</beat-type></time>": ("metre", "0/4"),
}  # fmt: skip


def refuse(text: str) -> None:
    raise AssertionError(text)


def whole(attributes: str) -> bytes:
    return score([bar_of(note("C4", 8), attributes=COMMON + attributes)])


@pytest.mark.parametrize("name", INSTRUMENTS)
def test_one_interval_for_the_whole_project(name: str) -> None:
    said, interval = INSTRUMENTS[name]
    xml = f"<transpose>{said}</transpose>"
    assert read_transposition(etree.XML(xml), refuse).interval == interval
    assert transposition(etree.XML(xml)) == interval
    part = read_score(whole(xml)).parts[0]
    assert setting_before(part, 1).transposition("") == Interval(*interval)
    reading = Reading(read_score(whole(xml)))
    assert [one.sounding for one in voices_of(reading, 0)[0].notes] == [60 + interval[1]]


def test_keys_by_their_letters() -> None:
    """A flat and a sharp that stand in no circle of fifths; two sharps are F and C."""
    steps = (
        "<key><key-step>B</key-step><key-alter>-1</key-alter>"
        "<key-step>F</key-step><key-alter>1</key-alter></key>"
    )
    altered = read_key(etree.XML(steps), refuse).alterations
    assert {letter: by for letter, by in altered.items() if by} == {"B": -1, "F": 1}
    major = read_key(etree.XML("<key><fifths>2</fifths><mode>major</mode></key>"), refuse)
    assert (major.mode, {letter for letter, by in major.alterations.items() if by}) == (
        "major",
        {"F", "C"},
    )


@pytest.mark.parametrize("said", IMPOSSIBLE)
def test_what_cannot_be_is_told_and_counts_as_not_said(said: str) -> None:
    kind, text = IMPOSSIBLE[said]
    reading = Reading(read_score(whole(said)))
    found = PartInForce(reading, 0)
    assert found.slips == [Slip(kind, 0, 0, text)]
    now = found.at(0)
    assert now.key is not None
    assert (now.key.alterations["F"], now.transposition.interval) == (0, (0, 0))
    assert now.metre == metre_from_times([("4", "4")])
    assert [one.sounding for one in voices_of(reading, 0)[0].notes] == [60]


@pytest.mark.parametrize("said", IMPOSSIBLE)
def test_a_player_has_in_force_what_can_be(said: str) -> None:
    """The middle line of a treble clef is the B above middle C: 6 + 4 * 7 steps from C0."""
    stand = Stands(read_score(whole(said)).parts[0]).at(0)
    assert stand == Stand(middle=34, sounds=Interval(0, 0), fifths=0)


def test_a_sketch_is_refused_where_a_score_goes_on() -> None:
    with pytest.raises(Refused, match='a transposition by "nan" cannot be'):
        transposition(etree.XML("<transpose><chromatic>nan</chromatic></transpose>"))


def test_common_time_by_its_symbol_alone() -> None:
    data = whole('<time symbol="cut"/>')
    assert PartInForce(Reading(read_score(data)), 0).at(0).metre == metre_from_times(
        [("2", "2")]
    )
