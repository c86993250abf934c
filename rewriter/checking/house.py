"""A house: the rules as one house wants them, each with its severity and parameters."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

import msgspec

from rewriter.rulefiles.houses import HouseRules

if TYPE_CHECKING:
    from rewriter.checking.rule import Parameters, Rule
    from rewriter.rulefiles.ensembles import Ensemble
    from rewriter.rulefiles.houses import Scoring
    from rewriter.rulefiles.words import HouseSeverity, Language

P = TypeVar("P", bound="Parameters")


class House:
    """How grave each rule is here, with which parameters, and what is asked of the scoring.

    Attributes:
        rules: what the file says; where it says nothing, a rule is as it is by default.
    """

    def __init__(self, rules: HouseRules | None = None) -> None:
        self.rules = rules or HouseRules()
        self._parameters: dict[str, Any] = {}

    def severity(self, rule: Rule[Any, Any]) -> HouseSeverity:
        """How grave what a rule finds is here; ``off`` where nobody asks it."""
        set_here = self.rules.rules.get(rule.id)
        return (set_here and set_here.severity) or rule.severity

    def parameters(self, rule: Rule[Any, P]) -> P:
        """The parameters a rule is asked with here.

        Who leads, and in which language sections are named, is the house's to say.
        """
        if rule.id not in self._parameters:
            set_here = self.rules.rules.get(rule.id)
            given = {**set_here.given} if set_here else {}
            for name, said in (("leading", self.leading), ("language", self.language)):
                if name in rule.parameters.__struct_fields__ and not given.get(name):
                    given[name] = said or ""
            self._parameters[rule.id] = msgspec.structs.replace(rule.parameters, **given)
        found: P = self._parameters[rule.id]
        return found

    @property
    def scoring(self) -> tuple[Scoring, ...]:
        """What is asked of the scoring, in order."""
        return self.rules.scoring

    @property
    def leading(self) -> str:
        """Key of the section whose marks win among those that double; empty for none."""
        return self.rules.leading

    @property
    def ensemble(self) -> Ensemble | None:
        """Whose sections are meant; None where the house does not say."""
        return self.rules.ensemble

    @property
    def language(self) -> Language | None:
        """Of names on the page; None where the house does not say."""
        return self.rules.language


def load_house(name_or_file: str, ensemble: Ensemble | None = None) -> House:
    """The house by name or file.

    Args:
        name_or_file: what ends in ``.toml`` is a file, everything else an exact name.
        ensemble: whose sections it may name; None for its own.

    Raises:
        Refused: no such house, or its file or one it extends has faults.
    """
    from rewriter.checking.rules import RULES
    from rewriter.rulefiles.house_files import load_house_rules

    kinds = {rule.id: type(rule.parameters) for rule in RULES}
    return House(load_house_rules(name_or_file, kinds, ensemble))
