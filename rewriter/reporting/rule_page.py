"""A rule of the house for people: what it finds, why that matters, what can be set."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from rewriter.reporting.columns import wrap_hanging

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rewriter.checking.rule import Parameter, Rule

WIDTH = 80
LABEL = 14
"""Columns before the text of a labelled paragraph, margin included."""


def rule_page(rule: Rule[Any, Any]) -> str:
    """All that is known of a rule, as lines of plain text, each ended."""
    labelled = [
        ("Why", rule.why),
        ("Instead", rule.instead),
        ("Source", rule.source),
        ("Severity", f"{rule.severity}, where the house does not say otherwise"),
        ("Mends", rule.mends),
        *(("" if at else "Set", _set(one)) for at, one in enumerate(rule.settings)),
    ]
    lines = [f"{rule.id}: {rule.title}", ""]
    for label, text in labelled:
        lines += _paragraph(label, text)
    return "\n".join(lines) + "\n"


def _paragraph(label: str, text: str) -> Iterator[str]:
    yield from wrap_hanging(
        text, first=f"  {label}".ljust(LABEL), rest=" " * LABEL, width=WIDTH
    )


def _set(one: Parameter) -> str:
    """What may be set, with its default as a house file would write it."""
    return f"{one.name} = {json.dumps(one.default)}: {one.meaning}"
