"""The demo score with faults: each fault is one finding, where it was made, and no other."""

from collections import Counter

import pytest

import rewriter
from rewriter.reporting.checked import Flaw
from tests.demo_scores.lamp import CLEAN, FAULTS, FILE, Fault, bars_of, lamp
from tests.outside.schema import assert_valid


def _told(findings: tuple[Flaw, ...]) -> Counter[tuple[str, str, str]]:
    return Counter((one.rule, one.part, one.bar) for one in findings)


def _where(fault: Fault) -> tuple[str, str, str]:
    """Rule, part and bar of what should be found."""
    part = f"P{[*CLEAN].index(fault.part) + 1}"
    return fault.rule, part, str(fault.bar + len(fault.music) - 1)


def test_the_file_is_what_is_made_here() -> None:
    assert FILE.read_bytes() == lamp()
    assert_valid(lamp())
    assert {len(bars_of(part)) for part in CLEAN} == {40}


def test_without_faults_nothing_is_found() -> None:
    assert_valid(lamp(()))
    for house in ("", "strict", "concert"):
        assert rewriter.check(lamp(()), house=house).findings == ()


@pytest.mark.parametrize("fault", FAULTS, ids=lambda one: f"{one.rule} in bar {one.bar}")
def test_a_fault_is_one_finding(fault: Fault) -> None:
    (found,) = rewriter.check(lamp([fault]), house="strict").findings
    assert (found.rule, found.part, found.bar) == _where(fault)
    assert fault.says in found.message
    made = rewriter.enforce(lamp([fault]), house="strict").report
    assert [one.mended for one in made.findings] == [fault.mended]


def test_all_of_them_together() -> None:
    assert _told(rewriter.check(FILE, house="strict").findings) == Counter(map(_where, FAULTS))
    made = rewriter.enforce(FILE, house="strict")
    left = [one for one in made.report.findings if not one.mended]
    assert _told(tuple(left)) == Counter(_where(one) for one in FAULTS if not one.mended)
    assert_valid(made.score)


def test_what_is_mended_is_as_it_was_meant() -> None:
    """But for what nobody wrote: a chord that is divided now."""
    told = [fault for fault in FAULTS if fault.mended and fault.rule != "unplayable-chord"]
    made = rewriter.enforce(lamp(told), house="strict").score
    assert rewriter.differences(lamp(()), made).are_none
