"""What a rule says, made a finding."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from rewriter.checking.rule import Deferred, Mend
from rewriter.problems import Finding
from rewriter.texts import LONGEST_LIST, one_row

if TYPE_CHECKING:
    from rewriter.checking.rule import Rule, Said, Unmended
    from rewriter.problems import Severity

NOT_MENDED = "not mended"
"""What a reason against mending begins with."""


def worded(
    rule: Rule[Any, Any],
    severity: Severity,
    said: Said,
    mend: Mend | Deferred | Unmended | None = None,
) -> Finding:
    """The finding that comes of what a rule says.

    Args:
        rule: that speaks.
        severity: of its findings, as the house has it.
        said: where and what.
        mend: what puts it right, or why nothing does.
    """
    return Finding(
        rule=rule.id,
        severity=severity,
        text=one_row(said.text, LONGEST_LIST),
        place=said.place,
        sounds=said.sounds,
        wants=said.wants,
        mend=_told(mend),
    )


def with_mend(finding: Finding, mend: Mend | Unmended) -> Finding:
    """A finding with what is said of its mend changed.

    Args:
        finding: as it was.
        mend: what puts it right, or why nothing does.
    """
    return replace(finding, mend=_told(mend))


def _told(mend: Mend | Deferred | Unmended | None) -> str:
    if isinstance(mend, (Mend, Deferred)):
        return mend.what
    return f"{NOT_MENDED}: {mend.why}" if mend else ""
