"""Names of sections in rule files, looked up in an ensemble."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.line_numbers import KeyPath
    from rewriter.rulefiles.shapes import RuleText


def sections_named(rule: RuleText, path: KeyPath, name: str, ensemble: Ensemble) -> list[str]:
    """Keys of the sections a name means; empty, and a fault noted, for none.

    Args:
        rule: the file.
        path: where it has the name.
        name: as it is written there.
        ensemble: whose sections are meant.
    """
    sections = ensemble.find(name)
    if not sections:
        near = ensemble.nearest(name)
        there_are = ", ".join(section.key for section in ensemble.sections)
        remedy = f"did you mean {near}?" if near else f"there are {there_are}"
        rule.fault(path, f'no section is called "{name}" in {ensemble.name}', remedy)
    return [section.key for section in sections]


def section_named(rule: RuleText, path: KeyPath, name: str, ensemble: Ensemble) -> str:
    """Key of the one section a name means; empty, and a fault noted, for none or several."""
    sections = sections_named(rule, path, name, ensemble)
    if len(sections) > 1:
        rule.fault(path, f'"{name}" means {" and ".join(sections)}', "name one of them")
        return ""
    return sections[0] if sections else ""
