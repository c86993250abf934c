"""One edit of a made-up score is found as one difference, at its place, however it is saved."""

from fractions import Fraction

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from tests.comparing.comparing import compared, mirrors
from tests.comparing.editing import ANY, EDITS, edited
from tests.comparing.resaving import resaved
from tests.property.strategies import Sketch, sketches

SEEDS = st.integers(min_value=0, max_value=2**16)


@pytest.mark.parametrize("name", EDITS)
@settings(
    max_examples=settings.default.max_examples // 4,  # for each edit
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)
@given(sketch=sketches(), seed=SEEDS, again=st.booleans())
def test_one_edit_is_one_difference(
    name: str, sketch: Sketch, seed: int, *, again: bool
) -> None:
    made = edited(sketch.data, name, seed)
    assume(made is not None)
    assert made is not None
    data, wanted = made
    found = compared(sketch.data, resaved(data, seed) if again else data)
    assert len(found.all) == 1, found.all
    one = found.all[0]
    assert (one.kind, one.at.bar) == (wanted.kind, wanted.bar)
    if wanted.onset is not None:
        # Saved again, signs of time stand up to an eighth of a quarter later.
        late = Fraction(one.at.onset, found.divisions) - wanted.onset
        assert 0 <= late <= (Fraction(1, 8) if again else 0)
    for said, thing in ((wanted.was, one.a), (wanted.now, one.b)):
        if said is None:
            assert thing is None
        else:
            assert thing is not None
            assert said in {ANY, thing.what}


@pytest.mark.parametrize("name", EDITS)
def test_every_edit_is_tried(name: str) -> None:
    """There are made-up scores in which each can be made."""
    from tests.property.strategies import FEATURES, compose

    made = [edited(compose(6, frozenset(FEATURES), seed).data, name, seed) for seed in range(8)]
    assert any(made)


@given(sketch=sketches(max_bars=4), seeds=st.lists(SEEDS, min_size=2, max_size=5))
def test_many_edits_are_the_same_both_ways(sketch: Sketch, seeds: list[int]) -> None:
    data = sketch.data
    for seed in seeds:
        made = edited(data, list(EDITS)[seed % len(EDITS)], seed)
        data = made[0] if made else data
    assert mirrors(sketch.data, data)
