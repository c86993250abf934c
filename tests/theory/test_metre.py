"""Metre: lengths, beats, and how rests are written.

Rests follow common practice in manuals of notation (E. Gould, Behind Bars, from memory).
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rewriter.theory.metre import beat_of, metre_from_times, note_type, rest_lengths


def metre(text):
    return metre_from_times([tuple(pair.split("/")) for pair in text.split(" ") if pair])


@pytest.mark.parametrize(
    ("text", "length", "unit", "groups"),
    [
        ("4/4", 4, 4, [1, 1, 1, 1]),
        ("2/2", 4, 2, [2, 2]),
        ("3/4", 3, 4, [1, 1, 1]),
        ("6/8", 3, 8, ["3/2", "3/2"]),
        ("9/8", "9/2", 8, ["3/2", "3/2", "3/2"]),
        ("12/16", 3, 16, ["3/4", "3/4", "3/4", "3/4"]),
        ("3+2/8", "5/2", 8, ["3/2", 1]),
        ("3+3+2/8", 4, 8, ["3/2", "3/2", 1]),
        ("5/8", "5/2", 8, ["1/2"] * 5),
        ("3/4 3/8", "9/2", 8, [1, 1, 1, "1/2", "1/2", "1/2"]),
        ("", 0, 4, []),
    ],
)
def test_bars(text, length, unit, groups):
    found = metre(text)
    assert (found.length, found.beat_unit) == (Fraction(length), unit)
    assert list(found.groups) == [Fraction(group) for group in groups]


def test_symbols_stand_for_their_fractions():
    assert metre_from_times([], symbol="common") == metre("4/4")
    assert metre_from_times([], symbol="cut") == metre("2/2")
    assert metre("6/8").compound
    assert not metre("3/4").compound


@pytest.mark.parametrize(
    "pair", [("4", "0"), ("0", "4"), ("", "4"), ("four", "4"), ("3+", "8")]
)
def test_what_is_no_metre(pair):
    with pytest.raises(ValueError, match=r"is no (number of beats|beat type)$"):
        metre_from_times([pair])


@pytest.mark.parametrize(
    ("text", "onset", "beat"), [("6/8", "5/2", 6), ("4/4", "3/2", "5/2"), ("2/2", 3, "5/2")]
)
def test_beats_count_denominators_from_one(text, onset, beat):
    assert beat_of(Fraction(onset), metre(text)) == Fraction(beat)


RESTS = [
    # metre, from, to, written
    ("4/4", 0, 4, "whole"),
    ("4/4", 1, 4, "quarter half"),
    ("4/4", 0, 3, "half quarter"),
    ("4/4", 1, 3, "quarter quarter"),  # never across the middle
    ("4/4", "1/2", "3/2", "eighth eighth"),
    ("4/4", 0, "3/4", "eighth 16th"),
    ("4/4", "1/4", 1, "16th eighth"),
    ("2/2", 1, 4, "quarter half"),
    ("3/4", 0, 2, "quarter quarter"),  # no half rest in three
    ("3/4", 1, 3, "quarter quarter"),
    ("2/4", 0, 2, "half"),
    ("3/8", 0, 1, "eighth eighth"),
    ("6/8", 0, 3, "half."),
    ("6/8", 0, "3/2", "quarter."),
    ("6/8", 0, 1, "quarter"),
    ("6/8", "1/2", "3/2", "eighth eighth"),
    ("6/8", 1, 3, "eighth quarter."),
    ("9/8", 0, 3, "quarter. quarter."),
    ("12/8", 3, 6, "half."),
    ("12/8", "3/2", 6, "quarter. half."),
    ("12/8", "3/2", "9/2", "quarter. quarter."),
    ("6/4", 0, 2, "half"),
    ("3+2/8", 0, "5/2", "?"),  # no value fills five eighths
    ("3+2/8", "3/2", "5/2", "quarter"),
    ("5/4", 3, 5, "quarter quarter"),
    # off the grid: what is left of a quarter stays in one piece, a longer beat is parted
    ("4/4", "1/3", 1, "?"),
    ("4/4", 0, "1/3", "?"),
    ("4/4", "1/3", "4/3", "? ?"),
    ("2/2", "1/3", 2, "? quarter"),
    ("2/2", "4/3", 4, "? half"),
]


@pytest.mark.parametrize(("text", "start", "stop", "written"), RESTS)
def test_rests_show_the_beats(text, start, stop, written):
    rests = rest_lengths(Fraction(start), Fraction(stop), metre(text))
    assert " ".join((rest.type or "?") + "." * rest.dots for rest in rests) == written


def test_a_rest_inside_a_triplet_has_no_type():
    rests = rest_lengths(Fraction(2, 3), Fraction(2), metre("4/4"))
    assert [(rest.length, rest.type) for rest in rests] == [
        (Fraction(1, 3), ""),
        (Fraction(1), "quarter"),
    ]


METRES = [
    "4/4",
    "2/2",
    "3/4",
    "6/8",
    "12/8",
    "9/16",
    "5/8",
    "7/4",
    "3+2/8",
    "2/4 3/8",
    "1/4",
    "",
]
POINTS = st.integers(0, 64).map(lambda n: Fraction(n, 8)) | st.builds(
    Fraction, st.integers(0, 40), st.sampled_from([3, 5, 6, 7, 12, 64])
)


@given(st.sampled_from(METRES), POINTS, POINTS)
def test_rests_fill_exactly_what_is_asked(text, one, other):
    start, stop = sorted((one, other))
    rests = rest_lengths(start, stop, metre(text))
    assert sum(rest.length for rest in rests) == stop - start
    for rest in rests:
        assert rest.length > 0
        assert note_type(rest.length) == ((rest.type, rest.dots) if rest.type else None)


@given(st.sampled_from(["4/4", "2/2", "12/8"]), POINTS, POINTS)
def test_no_rest_hides_the_middle_of_four(text, one, other):
    start, stop = sorted((one, other))
    bar = metre(text)
    at = start
    for rest in rest_lengths(start, stop, bar):
        whole_bar = at == 0 and rest.length == bar.length
        assert whole_bar or not at < bar.length / 2 < at + rest.length
        at += rest.length
