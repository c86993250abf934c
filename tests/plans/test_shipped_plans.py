"""Every shipped plan, over the demo score it was made for."""

from pathlib import Path

import pytest

import rewriter
from rewriter.rulefiles.shelf import names
from tests.outside.reference import bar_lengths, heard_by_reference
from tests.outside.schema import faults
from tests.outside.spans import spanner_faults, voice_faults

SCORES = Path(__file__).parents[2] / "scores"
PLANS = {
    "ferry-a-tone-higher": "last-ferry",
    "ferry-divided-top": "last-ferry",
    "ferry-handover": "last-ferry",
    "ferry-upbeats": "last-ferry",
    "harbour-arc": "harbour-thaws",
    "ice-in-unison": "under-the-ice",
    "song-two-colours": "ice-pilots-song",
}


def expanded(plan: str) -> rewriter.Expansion:
    return rewriter.expand(SCORES / f"{PLANS[plan]}.musicxml", plan=plan)


def test_every_shipped_plan_is_tried() -> None:
    assert names("plans") == sorted(PLANS)


@pytest.mark.parametrize("plan", PLANS)
def test_the_score_is_whole(plan: str) -> None:
    made = expanded(plan)
    assert faults(made.score) == []
    assert spanner_faults(made.score) == []
    assert voice_faults(made.score) == []
    assert not made.report.has_errors
    sketch = (SCORES / f"{PLANS[plan]}.musicxml").read_bytes()
    assert set(map(tuple, bar_lengths(made.score))) == {tuple(bar_lengths(sketch)[0])}


@pytest.mark.parametrize("plan", PLANS)
def test_no_bar_of_the_tune_is_left_out(plan: str) -> None:
    assert [note for note in expanded(plan).report.notes if "no passage" in note] == []


def test_the_arc_widens_to_two_thirds_and_thins_out() -> None:
    """Common practice, no source: the widest spacing about two thirds through, once."""
    report = expanded("harbour-arc").report
    tune = [
        {line.octave for line in report.lines if line.passage == at and line.source == "Melody"}
        for at in range(len(report.placed))
    ]
    levels = [len(octaves) for octaves in tune]
    peak = levels.index(max(levels))
    assert levels == [1, 1, 3, 3, 4, 2, 1]
    assert levels[: peak + 1] == sorted(levels[: peak + 1])
    assert levels[peak:] == sorted(levels[peak:], reverse=True)
    first_bar = int(report.placed[peak].bars.partition("-")[0])
    assert 0.6 <= first_bar / report.bars <= 0.75


def test_the_sketched_bass_is_in_cellos_and_basses() -> None:
    """The left hand, heard in the sketch, sounds in the cellos and an octave lower below."""
    from tests.outside.reference import heard_in_xml

    sketch = (SCORES / "harbour-thaws.musicxml").read_bytes()
    left = [note for note in heard_in_xml(sketch, "P2", staff="2") if note.onset < 80]
    *_, cellos, crossing, basses = heard_by_reference(expanded("harbour-arc").score)
    assert left
    assert set(left) <= {*cellos, *crossing}  # the lines cross, so the score has two staves
    assert {note._replace(midi=note.midi - 12) for note in left} == set(basses)
