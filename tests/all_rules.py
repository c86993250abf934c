"""A house in which every rule is asked, also those that only a house asks for."""

from rewriter.checking.house import House
from rewriter.checking.rules import RULES
from rewriter.rulefiles.houses import HouseRules, RuleSettings

EVERY_RULE = House(
    HouseRules(
        rules={rule.id: RuleSettings("advice", {}) for rule in RULES if rule.severity == "off"}
    )
)
"""Rules are as grave as they are by default, and advice where they are off."""
