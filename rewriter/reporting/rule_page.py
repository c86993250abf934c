"""A rule of the house for people: what it finds, why that matters, what can be set."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import msgspec

from rewriter.reporting.columns import wrap_hanging

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from rewriter.checking.house import House
    from rewriter.checking.rates import Measured
    from rewriter.checking.rule import Parameter, Rule

WIDTH = 80
LABEL = 14
"""Columns before the text of a labelled paragraph, margin included."""


def rule_page(rule: Rule[Any, Any], measured: Measured, houses: Mapping[str, House]) -> str:
    """All that is known of a rule, as lines of plain text, each ended.

    Args:
        rule: which one.
        measured: how often it finds something in good editions.
        houses: by name, those there are.
    """
    set_by = {name: one for name, one in houses.items() if rule.id in one.rules.rules}
    labelled = [
        ("Why", rule.why),
        ("Instead", rule.instead),
        ("Source", rule.source),
        ("Severity", _severity(rule)),
        ("Houses", "; ".join(_of_house(rule, name, house) for name, house in set_by.items())),
        ("Mends", rule.mends),
        *(("" if at else "Finds", one) for at, one in enumerate(_found(measured))),
        *(("" if at else "Set", _set(one)) for at, one in enumerate(rule.settings)),
    ]
    lines = [f"{rule.id}: {rule.title}", ""]
    for label, text in labelled:
        if text:
            lines += _paragraph(label, text)
    return "\n".join(lines) + "\n"


def _paragraph(label: str, text: str) -> Iterator[str]:
    yield from wrap_hanging(
        text, first=f"  {label}".ljust(LABEL), rest=" " * LABEL, width=WIDTH
    )


def _severity(rule: Rule[Any, Any]) -> str:
    if rule.severity == "off":
        return "off, where no house asks for it"
    return f"{rule.severity}, where the house does not say otherwise"


def _of_house(rule: Rule[Any, Any], name: str, house: House) -> str:
    """What a house makes of a rule: ``recording: warning, most = 2``."""
    set_here = house.rules.rules[rule.id]
    said = [
        set_here.severity or "",
        *(f"{key} = {_value(one)}" for key, one in set_here.given.items()),
    ]
    return f"{name}: {', '.join(one for one in said if one)}"


def _found(measured: Measured) -> Iterator[str]:
    """How often a rule speaks where good editors were at work, and how often it is right."""
    for rate in measured.rates:
        yield f"{rate.in_100_bars:.2f} in 100 bars of {rate.music} ({rate.bars:,} bars)"
    if measured.read:
        yield f"of {measured.read} of these that were read, {measured.right} were faults"


def _value(value: object) -> str:
    return json.dumps(msgspec.to_builtins(value))


def _set(one: Parameter) -> str:
    """What may be set, with its default as a house file would write it."""
    return f"{one.name} = {_value(one.default)}: {one.meaning}"
