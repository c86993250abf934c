"""Valid sketches give scores valid against the MusicXML 4.0 schema of the W3C."""

from hypothesis import given
from hypothesis import strategies as st

import rewriter
from tests.outside.schema import faults
from tests.outside.spans import spanner_faults
from tests.property.expanding import LAYOUTS, expand
from tests.property.strategies import Sketch, broken_sketches, sketches


@given(st.one_of(sketches(), broken_sketches()), st.sampled_from(LAYOUTS))
def test_output_is_valid(sketch: Sketch, layout: str) -> None:
    assert faults(expand(sketch, layout).score) == []


@given(
    sketches(), st.booleans(), st.booleans(), st.booleans(), st.sampled_from(["top", "divide"])
)
def test_output_is_valid_whatever_is_kept(
    sketch: Sketch,
    sung: bool,
    harmony: bool,
    under: bool,
    chords: str,
) -> None:
    score = rewriter.expand(
        sketch.data,
        "Vn I / Vla",
        tune=sketch.tune,
        chords=chords,
        keep_lyrics=sung,
        keep_harmony=harmony,
        keep_sketch=under,
    ).score
    assert faults(score) == []
    assert spanner_faults(score) == []
