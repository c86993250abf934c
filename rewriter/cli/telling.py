"""What became of the sketches, for people: reports to stdout, refusals to stderr."""

import sys
from collections.abc import Sequence
from textwrap import indent

from rewriter.cli.jobs import Outcome
from rewriter.cli.streams import complain, is_terminal, say, terminal_columns

NARROWEST, WIDEST = 60, 100
"""Columns of a report on a terminal; elsewhere always the same number."""


def tell(outcomes: Sequence[Outcome], *, dry: bool = False) -> None:
    """Reports to stdout, refusals to stderr, in the order of the sketches."""
    from rewriter.reporting.text import as_text

    width = terminal_width()
    for number, outcome in enumerate(outcomes):
        if outcome.report:
            gap = "\n" if number else ""
            done = _done(outcome, dry=dry)
            target = str(outcome.target)
            say(
                gap + as_text(outcome.report, target, width, done=done, changed=outcome.changed)
            )
            if outcome.parts:
                say(_parts_of(outcome, dry=dry))
        else:
            complain(_refusal_of(outcome, several=len(outcomes) > 1))
            if outcome.quotation and is_terminal(sys.stderr):
                complain(outcome.quotation)
    if len(outcomes) > 1:
        say("\n" + _total(outcomes, dry=dry) + "\n")


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
    also = f", {up_to_date} up to date" if up_to_date else ""
    also += f", {refused} refused" if refused else ""
    done = f"{written} {'would be ' * dry}written{also}"
    return f"{len(outcomes)} sketches: {done}; {count_findings(findings)}"
