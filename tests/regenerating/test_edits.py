"""Every edit of a hand is in the score made anew, or told, whatever became of the sketch."""

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from tests.merging.merging import merged
from tests.regenerating.edits import HANDS
from tests.regenerating.truth import tried
from tests.regenerating.trying import CHANGES, Change, case_of, outcome
from tests.shorthand import sketch

FEW = max(settings.default.max_examples // 20, 2)
SLOW = (HealthCheck.filter_too_much, HealthCheck.too_slow)
SEEDS = st.integers(0, 2**20)

TUNE = sketch(
    "4/4 key=1 mf tempo=quarter:72 (G4q A4 B4 C5) | D5h. B4q | (E5q F#5 G5 E5) | D5h~ D5h | "
    'mark=A p "dolce" (C5q B4) A4^accent G4 | (F#4h G4 | A4h B4) | C5e D5 E5q D5 C5 | B4w | '
    "mark=B f (G4q A4 B4 D5) | E5h. G5q | F#5q E5 D5 C#5 | D5h rh | "
    "pp E5q. D5e C5h | B4q. A4e G4h | (A4h B4 | G4w) |",
    title="The Slow Ferry",
)


@pytest.mark.parametrize("kind", CHANGES)
@settings(max_examples=FEW, suppress_health_check=SLOW)
@given(seed=SEEDS)
def test_twenty_edits(kind: str, seed: int) -> None:
    made = outcome(Change(TUNE, kind, seed))
    assume(made is not None)
    assert made is not None
    assert made.troubles == []


@pytest.mark.parametrize("hand", HANDS)
@settings(max_examples=FEW // 2, suppress_health_check=SLOW)
@given(kind=st.sampled_from(sorted(CHANGES)), seed=SEEDS)
def test_each_edit(hand: str, kind: str, seed: int) -> None:
    case = case_of(Change(TUNE, kind, seed), [hand])
    assume(case is not None and case.hand != case.base)
    assert case is not None
    made = tried(case)
    assert made.troubles == []


@settings(max_examples=FEW * 3, suppress_health_check=SLOW)
@given(kind=st.sampled_from(sorted(CHANGES)), seed=SEEDS)
def test_without_edits_it_is_a_fresh_expansion(kind: str, seed: int) -> None:
    case = case_of(Change(TUNE, kind, seed), [])
    assume(case is not None)
    assert case is not None
    assert merged(case.base, case.base, case.new, by=None).score == case.new
