"""A house and the rules there are: severities and parameters as the house wants them."""

from pathlib import Path
from typing import Any

import pytest

from rewriter.checking.house import House, load_house
from rewriter.checking.rule import Rule
from rewriter.checking.rules import RULES
from rewriter.problems import Refused
from rewriter.rulefiles.loading import load_ensemble

BY_ID = {rule.id: rule for rule in RULES}


def house(text: str, tmp_path: Path) -> House:
    file = tmp_path / "ours.toml"
    file.write_text(text, encoding="utf-8")
    return load_house(str(file))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_without_a_house_rules_are_as_they_are(rule: Rule[Any, Any]) -> None:
    assert House().severity(rule) == rule.severity
    assert House().parameters(rule) == rule.parameters


def test_what_a_house_sets_and_what_it_leaves(tmp_path: Path) -> None:
    ours = house(
        'language = "de"\nensemble = "chamber"\nleading = "Vla"\n'
        '[rule.long-at-the-top]\nmost = 8\n[rule.octave-leap]\nseverity = "off"\n'
        "[[scoring]]\nlevels_at_least = 2\n",
        tmp_path,
    )
    top, leap, beyond = (
        BY_ID[name] for name in ("long-at-the-top", "octave-leap", "beyond-range")
    )
    assert (ours.severity(top), ours.parameters(top)) == (
        "advice",
        type(top.parameters)(most=8),
    )
    assert (ours.severity(leap), ours.parameters(leap)) == ("off", leap.parameters)
    assert (ours.severity(beyond), ours.parameters(beyond)) == ("warning", beyond.parameters)
    assert (ours.language, ours.leading, ours.ensemble) == (
        "de",
        "Vla",
        load_ensemble("chamber"),
    )
    assert [one.levels_at_least for one in ours.scoring] == [2]


def test_who_leads_where_sections_double(tmp_path: Path) -> None:
    """The house's section in all rules about doublings, another where a rule names one."""
    ours = house('leading = "Violas"\n[rule.doubling-spelling]\nleading = "Celli"\n', tmp_path)
    notes, spelling = (BY_ID[name] for name in ("doubling-notes", "doubling-spelling"))
    assert ours.parameters(notes).leading == "Vla"
    assert ours.parameters(spelling).leading == "Vc"
    assert not House().parameters(notes).leading
    with pytest.raises(Refused, match=r'rule.doubling-notes.leading: no section is called "X"'):
        house('[rule.doubling-notes]\nleading = "X"\n', tmp_path)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_every_rule_can_be_set_and_its_settings_are_looked_at(
    rule: Rule[Any, Any], tmp_path: Path
) -> None:
    """Whatever kinds of parameters it has, a block where none can stand is told."""
    house(f'[rule.{rule.id}]\nseverity = "error"\n', tmp_path)
    wrong = "".join(f"{one.name} = {{ x = [2] }}\n" for one in rule.settings)
    if wrong:
        with pytest.raises(Refused):
            house(f"[rule.{rule.id}]\n{wrong}", tmp_path)
