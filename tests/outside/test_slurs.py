"""What music21 makes of slurs, and that a slur misplaced is seen."""

from fractions import Fraction

from tests.outside.slurs import Slur, slurs_by_music21
from tests.shorthand import sketch


def test_slurs_have_their_places() -> None:
    found = slurs_by_music21(sketch("2/4 | (C5q D5) | (E5q F5 | [G5 B5]h) |"))
    assert found == {
        Slur(0, (0, Fraction(0)), (0, Fraction(1))): 1,
        Slur(0, (1, Fraction(0)), (2, Fraction(0))): 1,
    }


def test_ends_without_their_other_are_left_out() -> None:
    music = sketch("2/4 | (C5q D5) | E5q F5 |").replace(b'<slur type="stop" number="1"/>', b"")
    assert not slurs_by_music21(music)
