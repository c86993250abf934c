"""The table of the measured registers: what it says, and that the tunes say so.

Source of the tunes: OpenScore Orchestra and Hauptstimme annotations
(github.com/MarkGotham/Hauptstimme, snapshot 8f67785; scores CC0 1.0, annotations CC BY-SA).
"""

from math import exp

import pytest

from rewriter.placing.usual import HowUsual, how_usual
from rewriter.rulefiles.repertory import measured_registers
from rewriter.theory.dynamics import STRENGTHS
from rewriter.theory.pitch import parse_pitch
from tests.repertory.asking import asked, measured, singing
from tests.repertory.measuring import measure
from tests.repertory.tunes import SOURCE, TUNES, Tune, read_tunes, strings

needs_tunes = pytest.mark.skipif(not TUNES.exists(), reason="the annotated tunes are not there")
SECTIONS = {section.section: section for section in measured_registers().sections}


@needs_tunes
def test_the_shipped_table_is_what_the_tunes_say() -> None:
    shipped = measured_registers()
    assert measure(read_tunes(), shipped.per_octave) == shipped


def test_it_names_its_source_and_every_section_of_the_strings() -> None:
    assert measured_registers().source == SOURCE
    assert list(SECTIONS) == [section.key for section in strings().sections]


@pytest.mark.parametrize("name", SECTIONS)
def test_shares_of_time_are_shares_and_hundreds_fall(name: str) -> None:
    section = SECTIONS[name]
    for strength in STRENGTHS:
        whole = sum(exp(worth) for worth in section.shares(strength))
        assert 0.8 < whole <= 1.02  # beyond the ends of the list lies a little
    for hundreds in (section.as_high, section.up_to):
        assert hundreds == sorted(hundreds, reverse=True)
        assert (hundreds[0], hundreds[-1]) == (100, 0)
    assert all(high <= up for high, up in zip(section.as_high, section.up_to, strict=True))


MOST_TIME = {
    "Vn I": ("C5", "G5"),
    "Vn II": ("G4", "C#5"),
    "Vla": ("B3", "F4"),
    "Vc": ("D3", "B3"),
}
"""Where tunes lie most often, as whoever derived them found on a larger set: first violins
around C#5 to F#5, seconds around A4, violas around D#4, cellos around F#3; a third each way."""


@pytest.mark.parametrize("name", MOST_TIME)
def test_tunes_lie_where_others_found_them(name: str) -> None:
    section = SECTIONS[name]
    low, high = (int(parse_pitch(pitch).midi) - section.lowest for pitch in MOST_TIME[name])
    together = [
        sum(map(exp, worths)) for worths in zip(section.soft, section.full, strict=True)
    ]
    assert low <= together.index(max(together)) <= high


def test_how_usual_a_place_is_counted_by_hand() -> None:
    """Three tunes of the violas: their means are 60, 64 and 67, their tops 62, 64 and 69."""
    rows = [((1, 58), (1, 62)), ((2, 64),), ((1, 65), (1, 69))]
    tunes = [Tune("Nobody", "plain", notes, {"Vla": 0}) for notes in rows]
    section = next(each for each in measure(tunes, 0.0).sections if each.section == "Vla")
    assert how_usual(section, {64.0: 4}, 0) == HowUsual(67, 67)
    assert how_usual(section, {53.0: 4}, 12) == HowUsual(33, 33)  # 65
    assert how_usual(section, {61.0: 4}, 0) == HowUsual(67, 100)
    assert how_usual(section, {20.0: 4}, 0) == HowUsual(100, 100)
    assert how_usual(section, {100.0: 4}, 0) == HowUsual(0, 0)
    assert how_usual(section, {64.0: 0}, 0) is None


def test_a_placing_is_asked_of_tunes_at_their_pitch_and_an_octave_off() -> None:
    """A tune on A4 to C#5 is sung where it is; an octave lower violins are brought up again."""
    tune = Tune("Nobody", "full", ((4, 69), (4, 71), (4, 73)), {"Vn I": 0})
    assert asked([tune], singing) == (1.0, 0.5)  # A5 to C#6 is good too and stays


def test_who_is_asked_is_not_learned_from() -> None:
    """One composer has the violas low, the other high: each is placed as the other writes."""
    low = Tune("Low", "plain", ((4, 55), (4, 57)), {"Vla": 0})
    high = Tune("High", "plain", ((4, 67), (4, 69)), {"Vla": 0})
    assert asked([low, high], measured([low, high], 0.0)) == (0.0, 0.0)
