"""From facts to findings: every rule is asked about the facts it looks at."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from rewriter.checking.places import PartLines, Places
from rewriter.checking.runs import joined_runs
from rewriter.checking.worded import worded
from rewriter.placing.facts import NoteBeyond
from rewriter.problems import Refused
from rewriter.sketch.faults import Mended

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from rewriter.checking.rule import Rule
    from rewriter.placing.cue import Cue
    from rewriter.problems import Finding
    from rewriter.sketch.faults import Fault


@cache
def _rules() -> dict[type, list[Rule[Any, Any]]]:
    """The rules by the facts they look at; imported when there is a fact."""
    from rewriter.checking.rules import RULES

    by_fact: dict[type, list[Rule[Any, Any]]] = {}
    for rule in RULES:
        by_fact.setdefault(rule.about, []).append(rule)
    return by_fact


@cache
def _in_runs() -> frozenset[str]:
    from rewriter.checking.rules import RULES

    return frozenset(rule.id for rule in RULES if rule.runs)


def findings_in(facts: Iterable[object], at: Places) -> Iterator[Finding]:
    """What the rules find in facts, in the order of the facts.

    Args:
        facts: of any kind; those no rule looks at are passed over.
        at: where they are.
    """
    for fact in facts:
        for rule in _rules().get(type(fact), ()):
            severity = rule.severity
            if severity == "off":
                continue
            said = rule.say(fact, at, rule.parameters)
            if said is not None:
                yield worded(rule, severity, said)


def findings_of_cue(
    cue: Cue, parts: Sequence[PartLines], written: Iterable[object] = ()
) -> list[Finding]:
    """Everything there is to find in a cue that was just scored.

    Args:
        cue: as it was scored.
        parts: of the score, in its order.
        written: facts met while it was written.

    Returns:
        About the sketch and the borders of passages, then passage by passage; each once.

    Raises:
        Refused: a passage lets no note be out of range, and one is.
    """
    at = Places(cue.frame, parts)
    findings = [*findings_in(cue.account.faults, at.of_reading(cue.sketch.place))]
    findings += findings_in(cue.leaps, at)
    findings += findings_in(written, at)
    told = frozenset(cue.account.faults)
    for used in {one.place: one for one in reversed(cue.used)}.values():
        faults = (one for one in used.faults if _of_part(one, used.place.part) not in told)
        findings += findings_in(faults, at.of_reading(used.place))
    for passage in cue.passages:
        facts = passage.scored.facts
        if passage.refuses:
            _refuse(facts, at)
        known = frozenset(findings)  # two passages may find the same
        found = findings_in(facts, at)
        findings += (one for one in found if one not in known) if known else found
    return joined_runs(findings, _in_runs()) if findings else []


def _of_part(fault: Fault, part: str) -> Fault:
    """A fault as it is told where its part is read for what it says for everybody."""
    return fault._replace(part=part) if isinstance(fault, Mended) else fault


def _refuse(facts: Iterable[object], at: Places) -> None:
    beyond = (fact for fact in facts if isinstance(fact, NoteBeyond))
    for worst in findings_in(beyond, at):
        remedy = "place the stack elsewhere, or allow another out_of_range"
        raise Refused(worst.text, remedy, place=worst.place.text)
