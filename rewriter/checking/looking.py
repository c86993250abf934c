"""A finished score looked at: every rule asked, as the house wants it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from rewriter.checking.rule import CANNOT_BE_WRITTEN
from rewriter.checking.rules import RULES
from rewriter.checking.runs import joined_runs
from rewriter.checking.worded import worded
from rewriter.problems import Refused

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.checking.finished import Finished
    from rewriter.checking.house import House
    from rewriter.checking.rule import Deferred, Mend, Rule, Unmended
    from rewriter.problems import Finding


class Found(NamedTuple):
    """A finding and what it comes from.

    Attributes:
        finding: as it is told.
        rule: that speaks.
        mend: what puts it right, or why nothing does; None where the rule never mends.
    """

    finding: Finding
    rule: Rule[Any, Any]
    mend: Mend | Deferred | Unmended | None


def found_in(
    score: Finished, house: House, rules: Sequence[Rule[Any, Any]] = RULES
) -> Iterator[Found]:
    """What the rules find in a finished score, rule by rule, each fact for itself.

    Rules about the tune are asked only where somebody has told where it is, and those about
    parts where these are given.

    Args:
        score: looked at.
        house: severities and parameters.
        rules: that are asked.
    """
    for rule in rules:
        severity = house.severity(rule)
        if severity == "off" or not _can_be_asked(rule, score):
            continue
        parameters = house.parameters(rule)
        for fact in _facts(score, house, rule):
            said = rule.say(fact, score, parameters) if isinstance(fact, rule.about) else None
            if said is None:
                continue
            mend = _mend(score, rule, fact, parameters)
            yield Found(worded(rule, said.severity or severity, said, mend), rule, mend)


def _can_be_asked(rule: Rule[Any, Any], score: Finished) -> bool:
    if rule.needs_parts and score.part_files is None:
        return False
    return not rule.needs_tune or score.tune is not None


def _mend(
    score: Finished, rule: Rule[Any, Any], fact: Any, parameters: Any
) -> Mend | Deferred | Unmended | None:
    """What puts a fact right; what cannot be written into the file is left."""
    if rule.mend is None:
        return None
    try:
        return rule.mend(score, fact, parameters)
    except (ValueError, Refused):
        return CANNOT_BE_WRITTEN


def _facts(score: Finished, house: House, rule: Rule[Any, Any]) -> Iterator[Any]:
    if rule.find is not None:
        yield from rule.find(score, house.parameters(rule))
    if rule.find_asked is not None and house.scoring:
        yield from rule.find_asked(score, house.scoring)


def findings_in_score(score: Finished, house: House) -> list[Finding]:
    """What there is to say of a finished score, in the order of its bars and parts.

    Args:
        score: looked at.
        house: severities and parameters.
    """
    of_runs = {rule.id for rule in RULES if rule.runs}
    found = joined_runs((one.finding for one in found_in(score, house)), of_runs)
    order = {part.id: index for index, part in enumerate(score.score.parts)}
    return sorted(found, key=lambda one: (one.place.bar_counted, order.get(one.place.part, -1)))
