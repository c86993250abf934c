"""Scores of whole cues: valid, closed, full, the same twice, and told what is in force."""

from hypothesis import given
from hypothesis import strategies as st

from tests.outside.reference import bar_lengths
from tests.outside.schema import faults
from tests.outside.spans import spanner_faults, voice_faults
from tests.property.planning import expand
from tests.property.plans import Plan, plans
from tests.property.strategies import broken_sketches


@given(st.one_of(plans(), plans(broken_sketches())))
def test_output_is_valid(plan: Plan) -> None:
    assert faults(expand(plan).score) == []


@given(plans())
def test_everything_closes(plan: Plan) -> None:
    assert spanner_faults(expand(plan).score) == []


@given(plans(broken_sketches()))
def test_what_the_sketch_leaves_open_is_closed(plan: Plan) -> None:
    """All but beams, which are drawn as the sketch draws them."""
    found = spanner_faults(expand(plan).score)
    assert [fault for fault in found if "beam" not in fault] == []


@given(plans())
def test_voices_fill_their_bars_and_do_not_overlap(plan: Plan) -> None:
    assert voice_faults(expand(plan).score) == []


@given(plans())
def test_bars_are_as_long_as_in_the_sketch(plan: Plan) -> None:
    expected = [max(lengths) for lengths in zip(*bar_lengths(plan.sketch.data), strict=True)]
    for part in bar_lengths(expand(plan).score):
        assert part == expected


@given(plans())
def test_same_input_same_bytes(plan: Plan) -> None:
    first, again = expand(plan), expand(plan)
    assert first.score == again.score
    assert first.report == again.report
