"""Saving a score again is no edit, whichever program does it, and whatever it drops."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import rewriter
from rewriter.comparing.comparison import compare
from rewriter.merging.edits import NOTES
from rewriter.scores.score import read_score
from tests.golden.music import heard_by_music21
from tests.merging.merging import merged
from tests.regenerating.edits import worked_on
from tests.regenerating.saving import GROUPS, OTHERS, saved_again, without_group
from tests.regenerating.test_edits import TUNE

FEW = max(settings.default.max_examples // 4, 5)
SLOW = (HealthCheck.too_slow,)
OF_A_HEADING = {"part name", "abbreviation", "title", "creator"}
BASE = rewriter.expand(TUNE, "Vn I / Vn II + Vla / Vc").score
NOW = rewriter.expand(TUNE, "Vn I / Vla / Vc", by="up M2").score


@settings(max_examples=FEW, suppress_health_check=SLOW)
@given(seed=st.integers(0, 2**20))
def test_saved_again_is_no_edit(seed: int) -> None:
    """But for names: a part that is called otherwise is called so by somebody."""
    result = merged(BASE, saved_again(BASE, seed), NOW, by=None)
    assert {one.kind for one in result.carried} <= OF_A_HEADING
    assert (result.conflicts, result.ambiguous, result.dropped) == ([], [], [])


@pytest.mark.parametrize("kind", GROUPS)
def test_a_kind_that_is_gone_everywhere_is_there_again(kind: str) -> None:
    hand = worked_on(BASE, ["add a fingering", "add an ornament", "add a syllable"], 3)
    result = merged(hand, without_group(hand, kind), hand, by=None)
    assert result.score == hand
    assert {one.kind for one in result.restored} <= {kind}
    assert result.found == sum(one.count for one in result.restored)


@pytest.mark.parametrize("program", OTHERS)
def test_notes_that_another_program_keeps_are_no_edits(program: str) -> None:
    """Source: music21 and partitura read and write the score; music21 hears what they keep."""
    saved = OTHERS[program](BASE)
    kept = heard_by_music21(BASE)
    assert any(kept.values())
    heard = heard_by_music21(saved)
    result = merged(BASE, saved, BASE, by=None)
    told = {one.section for one in result.carried if one.kind == NOTES}
    names = [part.short_name for part in read_score(BASE).parts]
    for name, again in zip(names, heard.values(), strict=False):
        if again == kept.get(name):
            assert name not in told


@pytest.mark.parametrize("seed", range(3))
def test_a_hand_and_a_program(seed: int) -> None:
    """What a hand did is there, and nothing else, after a program has saved it."""
    hand = worked_on(BASE, ["move a note", "add a slur", "add words", "add a tempo"], seed)
    result = merged(BASE, saved_again(hand, seed), BASE, by=None)
    found = compare(read_score(result.score), read_score(hand)).all
    assert [one for one in found if one.kind not in OF_A_HEADING] == []
