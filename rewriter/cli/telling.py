"""What became of the sketches, for people: reports to stdout, refusals to stderr."""

from __future__ import annotations

import sys
from textwrap import indent
from typing import TYPE_CHECKING

import msgspec

from rewriter.cli.streams import (
    STREAM,
    complain,
    is_terminal,
    say,
    say_bytes,
    terminal_columns,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.cli.jobs import Outcome
    from rewriter.reporting.results import Report

NARROWEST, WIDEST = 60, 100
"""Columns of a report on a terminal; elsewhere always the same number."""


class Manner(msgspec.Struct, frozen=True):
    """How much is told.

    Attributes:
        dry: nothing was written, as was asked for.
        quiet: only what could not be done is told.
        brief: what was up to date has one row.
    """

    dry: bool = False
    quiet: bool = False
    brief: bool = False


def tell(outcomes: Sequence[Outcome], manner: Manner) -> None:
    """Reports to stdout, refusals to stderr, in the order of the sketches.

    A score that goes to stdout is written there now, and its report is aside.
    """
    number = 0
    for outcome in outcomes:
        if outcome.report is None:
            complain(_refusal_of(outcome, several=len(outcomes) > 1))
            if outcome.quotation and is_terminal(sys.stderr):
                complain(outcome.quotation)
            continue
        if not manner.quiet:
            _report(outcome, outcome.report, manner, is_first=not number)
        number += 1
        if outcome.score:
            say_bytes(outcome.score)
    if len(outcomes) > 1 and not manner.quiet:
        say("\n" + _total(outcomes, dry=manner.dry) + "\n")


def _report(outcome: Outcome, report: Report, manner: Manner, *, is_first: bool) -> None:
    from rewriter.reporting.text import as_text, summarise

    target = "" if outcome.target == STREAM else str(outcome.target)
    done = _done(outcome, dry=manner.dry)
    if manner.brief and outcome.is_up_to_date:
        say(summarise(report, target, done) + "\n")
        return
    copy = str(outcome.copy or "")
    if outcome.copy_removed:
        copy += f" is of an earlier score and {'would be' if manner.dry else 'is'} removed"
    text = as_text(
        report, target, terminal_width(), done=done, changed=outcome.changed, copy=copy
    )
    parts = _parts_of(outcome, dry=manner.dry) if outcome.parts else ""
    say(f"{'' if is_first else chr(10)}{text}{parts}", aside=bool(outcome.score))


def terminal_width() -> int:
    """Columns of a report: of the terminal, within reason, else always the same."""
    from rewriter.reporting.text import WIDTH

    if not is_terminal(sys.stdout):
        return WIDTH
    return max(NARROWEST, min(WIDEST, terminal_columns()))


def _done(outcome: Outcome, *, dry: bool) -> str:
    """What became of the score."""
    if outcome.is_up_to_date:
        return "up to date"
    return f"{'would be ' * dry}{'replaced' if outcome.changed else 'written'}"


def _refusal_of(outcome: Outcome, *, several: bool) -> str:
    """Why nothing was written; the sketch is named where there are several."""
    sketch = str(outcome.sketch)
    if not several or outcome.refusal.startswith(sketch):
        return outcome.refusal
    return f"{sketch}: {outcome.refusal}"


def _parts_of(outcome: Outcome, *, dry: bool) -> str:
    """The parts that were written with a score, one line each, under a heading."""
    from rewriter.cli.part_lines import as_lines

    lines = as_lines(outcome.parts, outcome.leftovers, dry=dry)
    return f"\nParts ({len(outcome.parts)})\n" + indent(lines, "  ")


def _total(outcomes: Sequence[Outcome], *, dry: bool) -> str:
    from rewriter.reporting.text import count_findings

    up_to_date = sum(outcome.is_up_to_date for outcome in outcomes)
    refused = sum(outcome.report is None for outcome in outcomes)
    written = len(outcomes) - refused - up_to_date
    findings = [finding for each in outcomes if each.report for finding in each.report.findings]
    counted = (
        (written, f"{'would be ' * dry}written", not up_to_date),
        (up_to_date, "up to date", False),
        (refused, "refused", False),
    )
    done = ", ".join(f"{many} {what}" for many, what, even_none in counted if many or even_none)
    return f"{len(outcomes)} sketches: {done}; {count_findings(findings)}"
