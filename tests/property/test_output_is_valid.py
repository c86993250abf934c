"""Valid sketches give scores valid against the MusicXML 4.0 schema of the W3C."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from tests.outside.schema import faults
from tests.outside.spans import spanner_faults
from tests.property.expanding import LAYOUTS, expand
from tests.property.strategies import Sketch, broken_sketches, sketches

KEPT = st.fixed_dictionaries(
    {
        "keep_lyrics": st.booleans(),
        "keep_harmony": st.booleans(),
        "keep_sketch": st.booleans(),
        "chords": st.sampled_from(["top", "divide"]),
    }
)


@given(st.one_of(sketches(), broken_sketches()), st.sampled_from(LAYOUTS))
def test_output_is_valid(sketch: Sketch, layout: str) -> None:
    assert faults(expand(sketch, layout).score) == []


@given(sketches(), KEPT)
def test_output_is_valid_whatever_is_kept(sketch: Sketch, kept: dict[str, Any]) -> None:
    score = expand(sketch, "Vn I / Vla", **kept).score
    assert faults(score) == []
    assert spanner_faults(score) == []
