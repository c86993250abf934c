"""Every bar of every part is exactly as long as the sketch's bar."""

from hypothesis import given
from hypothesis import strategies as st

from tests.outside.reference import bar_lengths
from tests.property.expanding import LAYOUTS, SECTIONS, expand
from tests.property.strategies import Sketch, broken_sketches, sketches


@given(st.one_of(sketches(), broken_sketches()), st.sampled_from(LAYOUTS))
def test_bars_are_as_long_as_in_the_sketch(sketch: Sketch, layout: str) -> None:
    expected = [max(lengths) for lengths in zip(*bar_lengths(sketch.data), strict=True)]
    assert bar_lengths(expand(sketch, layout).score) == [expected] * len(SECTIONS)
