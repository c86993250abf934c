"""What the tool writes has none of the faults that checking finds in any score."""

from collections.abc import Iterable

from hypothesis import given
from hypothesis import strategies as st

from rewriter.checking.finished import Finished
from rewriter.checking.house import House
from rewriter.checking.looking import found_in
from rewriter.checking.rules import RULES
from rewriter.rulefiles.loading import load_ensemble
from rewriter.scores.score import read_score
from tests.property.expanding import LAYOUTS, expand
from tests.property.strategies import Sketch, broken_sketches, sketches

FAULTS = {"accidental-differs", "open-tie", "open-span"}
RANGES = {"below-lowest-string", "beyond-extreme", "beyond-range"}


def _found(score: bytes, rules: Iterable[str]) -> list[tuple[str, str]]:
    """Rule and section of everything that is found."""
    asked = [rule for rule in RULES if rule.id in set(rules)]
    finished = Finished(read_score(score), load_ensemble("symphonic"))
    found = (one.finding for one in found_in(finished, House(), asked))
    return [(one.rule, one.place.section) for one in found]


@given(st.one_of(sketches(), broken_sketches()), st.sampled_from(LAYOUTS))
def test_signs_say_what_sounds_and_everything_closes(sketch: Sketch, layout: str) -> None:
    assert _found(expand(sketch, layout).score, FAULTS) == []


@given(sketches(), st.sampled_from(LAYOUTS))
def test_what_is_out_of_range_was_reported(sketch: Sketch, layout: str) -> None:
    expansion = expand(sketch, layout)
    reported = {(one.rule, one.place.section) for one in expansion.report.findings}
    assert {*_found(expansion.score, RANGES)} <= reported
