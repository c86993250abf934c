"""Turns a sketch, a short score, into playable string parts, by layouts in rule files.

The verbs of the command line are functions here, loaded when first used:

>>> import rewriter
>>> rewriter.expand  # doctest: +ELLIPSIS
<function expand at ...>
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rewriter.problems import Finding, Refused
    from rewriter.reporting.checked import Checked
    from rewriter.reporting.differences import Differences
    from rewriter.reporting.look import Look
    from rewriter.reporting.rank import Rank
    from rewriter.reporting.regenerated import Regenerated
    from rewriter.reporting.results import Report
    from rewriter.reporting.survey import Survey
    from rewriter.verbs.check import check
    from rewriter.verbs.differences import differences
    from rewriter.verbs.enforce import Enforcement, enforce
    from rewriter.verbs.expand import Expansion, expand
    from rewriter.verbs.look import look
    from rewriter.verbs.parts import Part, parts, write_parts
    from rewriter.verbs.rank import rank
    from rewriter.verbs.regenerate import Regeneration, regenerate
    from rewriter.verbs.rules import rules
    from rewriter.verbs.survey import survey

__version__ = "0.1.0"

__all__ = [
    "Checked",
    "Differences",
    "Enforcement",
    "Expansion",
    "Finding",
    "Look",
    "Part",
    "Rank",
    "Refused",
    "Regenerated",
    "Regeneration",
    "Report",
    "Survey",
    "__version__",
    "check",
    "differences",
    "enforce",
    "expand",
    "look",
    "parts",
    "rank",
    "regenerate",
    "rules",
    "survey",
    "write_parts",
]

_HOMES = {
    "check": "rewriter.verbs.check",
    "Checked": "rewriter.reporting.checked",
    "enforce": "rewriter.verbs.enforce",
    "Enforcement": "rewriter.verbs.enforce",
    "differences": "rewriter.verbs.differences",
    "Differences": "rewriter.reporting.differences",
    "expand": "rewriter.verbs.expand",
    "Expansion": "rewriter.verbs.expand",
    "look": "rewriter.verbs.look",
    "Look": "rewriter.reporting.look",
    "parts": "rewriter.verbs.parts",
    "Part": "rewriter.verbs.parts",
    "write_parts": "rewriter.verbs.parts",
    "regenerate": "rewriter.verbs.regenerate",
    "Regeneration": "rewriter.verbs.regenerate",
    "Regenerated": "rewriter.reporting.regenerated",
    "rules": "rewriter.verbs.rules",
    "survey": "rewriter.verbs.survey",
    "rank": "rewriter.verbs.rank",
    "Rank": "rewriter.reporting.rank",
    "Survey": "rewriter.reporting.survey",
    "Report": "rewriter.reporting.results",
    "Finding": "rewriter.problems",
    "Refused": "rewriter.problems",
}


def __dir__() -> list[str]:
    """What is here, loaded or not, so that ``help`` and completion show the verbs."""
    return list(__all__)


def __getattr__(name: str) -> object:
    """Load a verb when it is first asked for, so that importing the package costs nothing."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)
