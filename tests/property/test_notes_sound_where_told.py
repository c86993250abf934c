"""Every tune note sounds in each line at the tune plus its octaves, and nothing else sounds.

Heard by our reference reader in every example and by music21, partitura and verovio in some.
"""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.outside.heard import heard_by_music21, heard_by_partitura, heard_by_verovio
from tests.outside.reference import Heard, heard_by_reference
from tests.property.expanding import LAYOUTS, expand, told, tune_of
from tests.property.strategies import Sketch, sketches

Reader = Callable[[bytes], list[list[Heard]]]

READERS: tuple[Reader, ...] = (heard_by_music21, heard_by_partitura, heard_by_verovio)
# What no reader gets right in any file: three quarter tones and more, and with partitura any.
PLAIN = sketches(without=frozenset({"quarter tones"}))
WITH_QUARTER_TONES = sketches(without=frozenset({"transposing", "instrument changes"}))
ANCHORED = {
    "Vn I 8va / Vn II + Vla // Vc + Db": {"Vn I": 1, "Vn II": 0, "Vla": 0, "Vc": -2, "Db": -2},
    "Vla loco + half Vc loco": {"Vla": 0, "Vc": 0},
    "Vn I / Vn II loco": {"Vn I": 1, "Vn II": 0},
}


@given(sketches(), st.sampled_from(LAYOUTS))
def test_by_the_reference_reader(sketch: Sketch, layout: str) -> None:
    expansion = expand(sketch, layout)
    assert heard_by_reference(expansion.score) == told(expansion, tune_of(sketch))


@pytest.mark.parametrize("reader", READERS)
def test_by_readers_of_others(reader: Reader) -> None:
    drawn = PLAIN if reader is heard_by_partitura else st.one_of(PLAIN, WITH_QUARTER_TONES)

    @settings(max_examples=settings().max_examples // 4)  # a score takes them 0.1 seconds
    @given(drawn, st.sampled_from(LAYOUTS))
    def check(sketch: Sketch, layout: str) -> None:
        expansion = expand(sketch, layout)
        assert reader(expansion.score) == told(expansion, tune_of(sketch))

    check()


@given(sketches(max_bars=2), st.sampled_from(sorted(ANCHORED)))
def test_an_anchored_stack_stands_where_it_says(sketch: Sketch, layout: str) -> None:
    lines = expand(sketch, layout).report.lines
    assert {line.section: line.octave for line in lines} == ANCHORED[layout]
