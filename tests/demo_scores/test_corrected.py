"""The demo score in which somebody has worked: all eight corrections are there, or told."""

from collections import Counter

import pytest

import rewriter
from rewriter.musicxml.containers import unzip_score
from tests.demo_scores.corrected import (
    CONFLICTS,
    CORRECTED,
    HAND,
    LAYOUT,
    LONGER,
    SKETCH,
    Correction,
    base,
    corrected,
    longer,
)
from tests.outside.schema import assert_valid


def test_the_files_are_what_is_made_here() -> None:
    assert unzip_score(CORRECTED.read_bytes()) == corrected()
    assert LONGER.read_bytes() == longer()
    for data in (corrected(), longer()):
        assert_valid(data)
    assert len(HAND) == 8


@pytest.mark.parametrize("one", HAND, ids=lambda one: f"{one.kind} in bar {one.bar}")
def test_a_correction_is_one_edit(one: Correction) -> None:
    made = rewriter.regenerate(corrected((one,)), SKETCH, LAYOUT, base=base())
    (edit,) = made.report.carried
    assert (edit.kind, edit.bar) == (one.kind, one.bar)
    assert made.report.found == 1
    assert rewriter.differences(corrected((one,)), made.score).are_none


def test_all_of_them_in_another_key_with_four_bars_more() -> None:
    made = rewriter.regenerate(CORRECTED, LONGER, LAYOUT, base=base(), by="down M2")
    report = made.report
    assert (report.found, report.ambiguous, report.dropped) == (8, [], [])
    assert tuple(one.kind for one in report.conflicts) == CONFLICTS
    told = Counter((one.kind, one.bar) for one in (*report.carried, *report.conflicts))
    later = {"21": "25", "22": "26"}
    assert told == Counter((one.kind, later.get(one.bar, one.bar)) for one in HAND)
    assert_valid(made.score)
    fresh = rewriter.expand(LONGER, LAYOUT, by="down M2").score
    assert made.made == fresh
