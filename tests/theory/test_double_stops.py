"""What one hand can stop on neighbouring strings."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rewriter.theory.double_stops import stopped

VIOLIN = (55, 62, 69, 76)
CELLO = (36, 43, 50, 57)


@pytest.mark.parametrize(
    ("notes", "places"),
    [
        ((57, 69), (2, 7)),  # an octave: first and fourth finger
        ((59, 67), (4, 5)),
        ((62, 69), (0, 0)),
        ((55, 62, 71, 79), (0, 0, 2, 3)),
        ((60, 64, 72), (5, 2, 3)),
    ],
)
def test_the_usual_way_is_found(notes: tuple[int, ...], places: tuple[int, ...]) -> None:
    """Fingerings of first position (common practice, no source)."""
    found = stopped(notes, VIOLIN)
    assert found is not None
    assert found.places == places
    assert found.within(5)


@pytest.mark.parametrize("notes", [(57, 59), (55, 60), (55, 57, 59, 79), (50, 62)])
def test_two_notes_need_two_strings(notes: tuple[int, ...]) -> None:
    assert stopped(notes, VIOLIN) is None


@given(st.integers(37, 60), st.integers(0, 24), st.integers(0, 8))
def test_what_is_reached_low_down_is_reached_higher_up(low: int, wide: int, reach: int) -> None:
    found, higher = (stopped((at, at + wide), CELLO) for at in (low, low + 1))
    if found is not None and min(found.places) > 0 and found.within(reach):
        assert higher is not None
        assert higher.within(reach)
