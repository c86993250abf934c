"""With no change of the source the result is the edited score; with no edit, the new one."""

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from rewriter import expand
from tests.comparing.editing import EDITS, edited
from tests.comparing.resaving import resaved
from tests.merging.merging import differing, merged
from tests.merging.shaping import SHAPINGS, shaped
from tests.outside.schema import faults
from tests.outside.spans import spanner_faults
from tests.property.expanding import expand as expanded
from tests.property.strategies import Sketch, sketches

SEEDS = st.integers(min_value=0, max_value=2**16)
LAYOUT = "Vn I / Vn II + Vla / Vc"
SLOW = (HealthCheck.filter_too_much, HealthCheck.too_slow)
FEW = max(settings.default.max_examples // 25, 3)


def worked_on(data: bytes, names: list[str], seed: int) -> bytes:
    """A score after edits, as far as it has anything for them."""
    for step, name in enumerate(names):
        made = edited(data, name, seed + step) if name in EDITS else shaped(data, name, seed)
        if made is not None:
            data = made if isinstance(made, bytes) else made[0]
    return data


def require_same(base: bytes, hand: bytes) -> None:
    """Merging into the same score again gives what the hand made."""
    result = merged(base, hand, base)
    assert differing(result.score, hand) == []
    assert (result.conflicts, result.ambiguous, result.dropped) == ([], [], [])
    if not faults(hand):
        assert not set(faults(result.score)) - set(faults(base))
    open_ends = len(spanner_faults(base)) + len(spanner_faults(hand))
    assert len(spanner_faults(result.score)) <= open_ends


@pytest.mark.parametrize("name", EDITS)
@settings(max_examples=FEW, suppress_health_check=SLOW)
@given(sketch=sketches(max_bars=5), seed=SEEDS, again=st.booleans())
def test_one_edit(name: str, sketch: Sketch, seed: int, *, again: bool) -> None:
    hand = worked_on(sketch.data, [name], seed)
    assume(hand != sketch.data)
    require_same(sketch.data, resaved(hand, seed) if again else hand)


@pytest.mark.parametrize("name", SHAPINGS)
@settings(max_examples=FEW, suppress_health_check=SLOW)
@given(
    sketch=sketches(max_bars=6), seed=SEEDS, again=st.booleans(),
    more=st.lists(st.sampled_from(sorted(EDITS)), max_size=2),
)  # fmt: skip
def test_bars_parts_and_headings(
    name: str, sketch: Sketch, seed: int, more: list[str], *, again: bool
) -> None:
    base = expanded(sketch, LAYOUT).score
    hand = worked_on(base, [*more, name], seed)
    assume(hand != base)
    require_same(base, resaved(hand, seed) if again else hand)


@settings(max_examples=FEW, suppress_health_check=SLOW)
@given(names=st.lists(st.sampled_from(sorted(EDITS)), min_size=3, max_size=12), seed=SEEDS)
@pytest.mark.parametrize("sketch", ["last-ferry", "harbour-thaws"])
def test_many_edits_of_demo_scores(sketch: str, names: list[str], seed: int) -> None:
    base = expand(f"scores/{sketch}.musicxml", LAYOUT).score
    require_same(base, resaved(worked_on(base, names, seed), seed))


@settings(max_examples=FEW * 2, suppress_health_check=SLOW)
@given(sketch=sketches(max_bars=5), seed=SEEDS)
def test_saved_again_is_no_edit(sketch: Sketch, seed: int) -> None:
    base = expanded(sketch, LAYOUT).score
    new = expanded(sketch, "Vn I / Vc").score
    for now in (base, new):
        result = merged(base, resaved(base, seed), now)
        assert result.score == now
        assert result.found == 0
    assert merged(base, resaved(base, seed), base).print_again == []
