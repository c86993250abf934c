"""A house in which every rule is asked, also those that only a house asks for."""

import msgspec

from rewriter.checking.house import House
from rewriter.checking.rules import RULES
from rewriter.rulefiles.houses import HouseRules, RuleSettings

_ASKED = {rule.id: RuleSettings("advice", {}) for rule in RULES if rule.severity == "off"}

EVERY_RULE = House(HouseRules(rules=_ASKED))
"""Rules are as grave as they are by default, and advice where they are off."""


def with_every_rule(house: House) -> House:
    """A house that asks for the rules it says nothing of as well."""
    set_here = {
        name: RuleSettings(said.severity or _ASKED[name].severity, said.given)
        if name in _ASKED
        else said
        for name, said in house.rules.rules.items()
    }
    return House(msgspec.structs.replace(house.rules, rules={**_ASKED, **set_here}))
