"""The page of a rule: all that is known of it, and nothing where nothing is known."""

from rewriter.checking.rates import Measured, Rate
from rewriter.checking.rules.long_at_the_top import RULE
from rewriter.reporting.rule_page import rule_page

BEFORE = """\
long-at-the-top: long in the highest register

  Why         At the top of its range a section tires, and so does who listens.
  Instead     Give the section relief, or hand the line over.
  Source      common practice, no source
  Severity    advice, where the house does not say otherwise
  Mends       never
"""
SET = "  Set         most = 4: bars a section may stay in its highest register\n"


def test_what_was_not_measured_and_what_no_house_sets_is_not_told() -> None:
    assert rule_page(RULE, Measured(), {}) == BEFORE + SET


def test_how_often_it_finds_something() -> None:
    rates = (Rate("thirty quartets", 24_000, 123), Rate("two songs", 80, 0))
    said = (
        "  Finds       0.51 in 100 bars of thirty quartets (24,000 bars)\n"
        "              0.00 in 100 bars of two songs (80 bars)\n"
        "              of 10 of these that were read, 9 were faults\n"
    )
    assert rule_page(RULE, Measured(rates, 10, 9), {}) == BEFORE + said + SET


def test_a_rule_that_only_a_house_asks_for() -> None:
    page = rule_page(RULE._replace(severity="off"), Measured(), {})
    assert "  Severity    off, where no house asks for it\n" in page
