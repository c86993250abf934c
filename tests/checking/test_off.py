"""A rule that is off by default is asked only where a house asks for it."""

import pytest

import rewriter
from rewriter.checking import running
from rewriter.checking.finished import Finished
from rewriter.checking.house import House
from rewriter.checking.looking import found_in
from rewriter.checking.rules.beyond_range import RULE
from rewriter.rulefiles.houses import HouseRules, RuleSettings
from rewriter.rulefiles.loading import load_ensemble
from rewriter.scores.score import read_score
from tests.shorthand import finished_score, sketch

OFF = RULE._replace(severity="off")
HIGH = "4/4 | F7w |"  # above the violins' range, E7


def test_in_a_finished_score() -> None:
    score = Finished(read_score(finished_score({"Violin I": HIGH})), load_ensemble())
    asks = House(HouseRules(rules={RULE.id: RuleSettings("error", {})}))
    assert list(found_in(score, House(), [OFF])) == []
    (found,) = found_in(score, asks, [OFF])
    assert (found.finding.rule, found.finding.severity) == ("beyond-range", "error")
    (found,) = found_in(score, House(), [RULE])
    assert found.finding.severity == "warning"


@pytest.mark.parametrize(("rule", "found"), [(RULE, ["beyond-range"]), (OFF, [])])
def test_in_a_score_that_is_made(
    rule: object, found: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(running, "_rules", lambda: {RULE.about: [rule]})
    made = rewriter.expand(sketch(HIGH, tune="Melody"), "Vn I loco")
    assert [one.rule for one in made.report.findings] == found
