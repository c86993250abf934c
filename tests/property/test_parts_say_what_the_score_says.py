"""Parts that nobody touched say what their score says; one that was touched is found."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

import rewriter
from rewriter.checking.part_contents import OF_THE_NOTES
from tests.comparing.editing import EDITS, edited
from tests.comparing.resaving import resaved
from tests.property.expanding import LAYOUTS, expand
from tests.property.planning import expand as expand_plan
from tests.property.plans import Plan, plans
from tests.property.strategies import Sketch, sketches

SEEDS = st.integers(min_value=0, max_value=2**16)
ABOUT_PARTS = {"part-files", "part-notes", "part-marks"}


def against(score: bytes, files: dict[str, bytes]) -> list[tuple[str, str, int, str]]:
    """Rule, section, bar from 0 and message of what is found of parts."""
    with tempfile.TemporaryDirectory() as folder:
        for name, data in files.items():
            Path(folder, name).write_bytes(data)
        found = rewriter.check(score, parts=folder).findings
    return [
        (one.rule, one.section, one.index, one.message)
        for one in found
        if one.rule in ABOUT_PARTS
    ]


@given(plans(), st.sampled_from((0, 1, 4)))
def test_parts_of_any_plan_agree(plan: Plan, cue_notes: int) -> None:
    score = expand_plan(plan).score
    made = rewriter.parts(score, cue_notes=cue_notes)
    assert against(score, {one.file_name: one.data for one in made}) == []


@given(sketches(), st.sampled_from(LAYOUTS), SEEDS)
def test_parts_saved_again_elsewhere_agree(sketch: Sketch, layout: str, seed: int) -> None:
    score = expand(sketch, layout).score
    made = rewriter.parts(score)
    assert against(score, {one.file_name: resaved(one.data, seed) for one in made}) == []


@pytest.mark.parametrize("name", EDITS)
@settings(
    max_examples=max(settings.default.max_examples // 20, 2),  # for each edit
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)
@given(sketch=sketches(), layout=st.sampled_from(LAYOUTS), seed=SEEDS)
def test_one_edit_of_a_part_is_one_finding(
    name: str, sketch: Sketch, layout: str, seed: int
) -> None:
    score = expand(sketch, layout).score
    files = {one.file_name: one.data for one in rewriter.parts(score)}
    which = sorted(files)[seed % len(files)]
    made = edited(files[which], name, seed)
    assume(made is not None)
    assert made is not None
    files[which], wanted = made
    ((rule, _, bar, message),) = against(score, files)
    assert rule == ("part-notes" if wanted.kind in OF_THE_NOTES else "part-marks")
    assert bar == wanted.bar
    assert message.startswith(f"{which} has ")
    assert wanted.kind in message
