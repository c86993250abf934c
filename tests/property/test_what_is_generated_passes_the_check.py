"""What the tool writes has none of the faults that checking finds in any score."""

from collections.abc import Iterable

from hypothesis import given
from hypothesis import strategies as st

from rewriter.checking.finished import Finished
from rewriter.checking.house import House
from rewriter.checking.looking import found_in
from rewriter.checking.rules import RULES
from rewriter.checking.runs import joined_runs
from rewriter.problems import Finding
from rewriter.rulefiles.loading import load_ensemble
from rewriter.scores.score import read_score
from tests.property.expanding import LAYOUTS, expand
from tests.property.strategies import Sketch, broken_sketches, sketches

FAULTS = {"accidental-differs", "open-tie", "open-span"}
RANGES = {"below-lowest-string", "beyond-extreme", "beyond-range", "long-at-the-top"}


def _found(score: bytes, rules: Iterable[str]) -> list[tuple[str, str, str, str]]:
    """Rule, section, bar and beat of everything that is found."""
    asked = [rule for rule in RULES if rule.id in set(rules)]
    finished = Finished(read_score(score), load_ensemble("symphonic"))
    found = joined_runs((one.finding for one in found_in(finished, House(), asked)), RANGES)
    return [_place(one) for one in found]


def _place(one: Finding) -> tuple[str, str, str, str]:
    return one.rule, one.place.section, one.place.bar, one.place.beat


@given(st.one_of(sketches(), broken_sketches()), st.sampled_from(LAYOUTS))
def test_signs_say_what_sounds_and_everything_closes(sketch: Sketch, layout: str) -> None:
    assert _found(expand(sketch, layout).score, FAULTS) == []


@given(sketches(), st.sampled_from(LAYOUTS))
def test_the_check_says_of_ranges_what_expanding_said(sketch: Sketch, layout: str) -> None:
    """No more and no less; but harmonics are held by their sound in finished scores alone."""
    expansion = expand(sketch, layout)
    reported = {_place(one) for one in expansion.report.findings if one.rule in RANGES}
    found = {*_found(expansion.score, RANGES)}
    assert {place[:2] for place in found} <= {place[:2] for place in reported}
    if b"<harmonic" not in expansion.score and b">diamond<" not in expansion.score:
        assert found == reported
