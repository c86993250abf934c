"""Made-up sketches are what they claim to be: valid, closed, with full bars."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from tests.outside.schema import faults
from tests.outside.spans import spanner_faults, voice_faults
from tests.property.strategies import FEATURES, Sketch, broken_sketches, compose, sketches


@given(sketches())
def test_a_sketch_is_valid_closed_and_full(sketch: Sketch) -> None:
    assert faults(sketch.data) == []
    assert spanner_faults(sketch.data) == []
    assert voice_faults(sketch.data) == []


@given(st.sampled_from(FEATURES), st.integers(0, 2**16))
def test_a_feature_alone_is_valid_closed_and_full(feature: str, seed: int) -> None:
    data = compose(4, frozenset({feature}), seed).data
    assert faults(data) + spanner_faults(data) + voice_faults(data) == []


def test_every_feature_changes_the_sketch() -> None:
    for feature in FEATURES:
        beside = frozenset({"tuplets"} if feature == "nested tuplets" else ())
        assert any(
            compose(6, beside | {feature}, seed).data != compose(6, beside, seed).data
            for seed in range(3)
        ), feature


@given(broken_sketches())
def test_a_broken_sketch_is_still_valid(sketch: Sketch) -> None:
    assert faults(sketch.data) == []


def test_most_broken_sketches_are_broken() -> None:
    broken = Counter[bool]()

    @given(broken_sketches())
    def count(sketch: Sketch) -> None:
        broken[bool(spanner_faults(sketch.data))] += 1

    count()
    assert broken[True] > broken[False]
