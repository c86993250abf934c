"""When things happen in a bar, in whatever divisions a file counts."""

import pytest
from lxml import etree

import rewriter
from rewriter.musicxml.note_reading import FractionalDuration
from rewriter.scores.events import BarEvents, EventReader, Slip, common_divisions
from rewriter.scores.score import Part, read_score
from tests.plain_xml import bar_of, note, score


def part(*bars: str) -> Part:
    return read_score(score(list(bars))).parts[0]


def bars(written: Part, divisions: int) -> list[BarEvents]:
    return list(EventReader(written, divisions).bars())


def lasting(text: str) -> str:
    return note("A4", 77).replace("<duration>77</duration>", f"<duration>{text}</duration>")


@pytest.mark.parametrize(
    ("text", "divisions", "length"),
    [("4", 2, 4), ("4", 6, 12), (" 4 ", 2, 4), ("1.5", 4, 3), ("0.25", 16, 2), ("4.0", 2, 4)],
)
def test_lengths_in_the_divisions_counted_in(text: str, divisions: int, length: int) -> None:
    """The file counts two in a quarter."""
    ((event, *_),) = [bar.events[-1:] for bar in bars(part(bar_of(lasting(text))), divisions)]
    assert event.length == length


def test_a_length_that_needs_finer_divisions_says_how_much_finer() -> None:
    written = part(bar_of(lasting("1.25")))
    with pytest.raises(FractionalDuration) as caught:
        bars(written, 4)
    assert caught.value.denominator == 2
    assert common_divisions([written]) == 8


@pytest.mark.parametrize("text", ["0", "-2", "x", "1/0", "1e99", "1e99999999", "9" * 5000])
def test_what_no_note_can_last_is_told_and_lasts_nothing(text: str) -> None:
    (bar,) = bars(part(lasting(text)), 2)
    assert bar.slips == [Slip("no-length", 0, 0, text)]
    assert bar.end == 0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0", 'a duration of "0" cannot be played'),
        ("-2", 'a duration of "-2" cannot be played'),
        ("1e99", 'a duration of "1e99" cannot be played'),
        ("", "a note without duration cannot be played"),
    ],
)
def test_in_a_tune_it_is_refused(text: str, said: str) -> None:
    with pytest.raises(rewriter.Refused) as caught:
        rewriter.expand(score([lasting(text)]), "Vn I loco")
    remedy = "correct it in the sketch and export again"
    assert str(caught.value) == f"sketch: Flute, bar 1: {said}; {remedy}"


def test_a_backup_before_the_bar_leads_to_its_start() -> None:
    back = "<backup><duration>9</duration></backup>"
    (bar,) = bars(part(bar_of(note("A4", 4), back, note("A3", 2))), 2)
    assert [event.onset for event in bar.events if event.tag == "note"] == [0, 0]
    assert bar.slips == [Slip("before-the-bar", 0, 0, "5")]


def test_what_is_nested_where_it_cannot_be_is_one_child() -> None:
    inside = f"<direction>{note('A4', 2)}{note('B4', 2)}</direction>"
    (bar,) = bars(part(bar_of(inside, note("C5", 2))), 2)
    assert [event.tag for event in bar.events][-2:] == ["direction", "note"]


def test_divisions_may_change_within_a_bar() -> None:
    six = "<attributes><divisions>6</divisions></attributes>"
    (bar,) = bars(part(bar_of(note("A4", 2), six, note("B4", 6))), 6)
    notes = [(event.onset, event.length) for event in bar.events if event.tag == "note"]
    assert notes == [(0, 6), (6, 6)]
    assert list(bar.scales.values()) == [3, 1]


def test_words_that_look_like_an_attribute_stay() -> None:
    said = 'say  color="red"  default-x="1"'
    words = f"<direction><direction-type><words default-y='3'>{said}</words></direction-type>"
    (bar,) = bars(part(bar_of(f"{words}</direction>", note("A4", 8))), 2)
    (event,) = (event for event in bar.events if event.tag == "direction")
    element = etree.fromstring(event.data)
    assert element.findtext("direction-type/words") == said
    assert not element.xpath("descendant-or-self::*/@*")
