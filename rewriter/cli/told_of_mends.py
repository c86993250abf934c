"""What was mended in finished scores, for people or as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rewriter.cli.streams import STREAM, complain, say, say_bytes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.cli.mends import MendOutcome


def tell_of_mends(
    outcomes: Sequence[MendOutcome], *, as_json: bool, quiet: bool, dry: bool
) -> int:
    """Reports to stdout, refusals to stderr; a score that goes to stdout has its report aside.

    Args:
        outcomes: in the order in which the scores were named.
        as_json: print JSON instead of text.
        quiet: print nothing but what could not be done.
        dry: True when nothing was written.

    Returns:
        The exit status.
    """
    aside = any(one.score for one in outcomes)
    told = 0
    for one in outcomes:
        if one.report is None:
            complain(one.refusal)
        elif not (as_json or quiet):
            say(("\n" if told else "") + _text(one, dry=dry), aside=aside)
            told += 1
        if one.score:
            say_bytes(one.score)
    if as_json:
        say(_json(outcomes, dry=dry), aside=aside)
    elif len(outcomes) > 1 and not quiet:
        say(f"\n{_total(outcomes, dry=dry)}\n", aside=aside)
    if any(one.report is None for one in outcomes):
        return 2
    return int(any(one.report and one.report.has_errors for one in outcomes))


def _written(one: MendOutcome) -> str:
    """Where the score is, or would be; empty where it is nowhere."""
    if one.score:
        return "stdout" if one.job.target == STREAM else ""
    return str(one.job.target) if one.change else ""


def _text(one: MendOutcome, *, dry: bool) -> str:
    from rewriter.cli.telling import terminal_width
    from rewriter.reporting.enforced_text import enforced_as_text

    if one.report is None:
        return ""
    return enforced_as_text(one.report, _written(one), terminal_width(), dry=dry)


def _total(outcomes: Sequence[MendOutcome], *, dry: bool) -> str:
    written = sum(bool(_written(one)) for one in outcomes)
    refused = sum(one.report is None for one in outcomes)
    said = f"{written} of {len(outcomes)} scores {'would be written' if dry else 'written'}"
    return said + (f"; {refused} could not be looked at" if refused else "")


def _json(outcomes: Sequence[MendOutcome], *, dry: bool) -> str:
    import msgspec

    from rewriter import __version__
    from rewriter.reporting.checked import RefusedScore
    from rewriter.reporting.enforced import EnforcedFiles, EnforcedScore

    reports = [(one, one.report) for one in outcomes if one.report]
    found = EnforcedFiles(
        version=__version__,
        findings=tuple(flaw for _, report in reports for flaw in report.findings),
        changed=tuple(bar for _, report in reports for bar in report.changed),
        part_list=any(report.part_list for _, report in reports),
        scores=tuple(
            EnforcedScore(
                score=str(one.job.score),
                tune=report.tune,
                written_to="" if dry else _written(one),
                part_list=report.part_list,
            )
            for one, report in reports
        ),
        refused=tuple(
            RefusedScore(score=str(one.job.score), message=one.refusal)
            for one in outcomes
            if not one.report
        ),
    )
    return msgspec.json.format(msgspec.json.encode(found), indent=2).decode() + "\n"
