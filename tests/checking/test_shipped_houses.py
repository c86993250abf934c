"""The houses that are shipped: sound, reasoned, and each what its title says."""

from typing import Any

import pytest

from rewriter.checking.house import load_house
from rewriter.checking.rules import RULES
from rewriter.rulefiles.loading import load_ensemble, names
from rewriter.rulefiles.shelf import shipped_folder

SHIPPED = sorted(path.stem for path in (shipped_folder() / "house").glob("*.toml"))


@pytest.fixture(autouse=True)
def elsewhere(tmp_path: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def test_which_are_shipped() -> None:
    assert names("house") == SHIPPED == ["concert", "quartet", "recording", "strict"]


@pytest.mark.parametrize("name", SHIPPED)
def test_a_house_is_whole_and_names_only_rules_there_are(name: str) -> None:
    """A rule or setting that is not there is refused in reading it."""
    house = load_house(name)
    for text in (house.rules.title, house.rules.summary, house.rules.why):
        assert text.strip() == text != ""


@pytest.mark.parametrize("name", SHIPPED)
def test_what_a_house_sets_is_not_so_anyhow(name: str) -> None:
    house = load_house(name)
    by_id = {rule.id: rule for rule in RULES}
    for id_, settings in house.rules.rules.items():
        rule = by_id[id_]
        same = house.severity(rule) == rule.severity
        assert not same or house.parameters(rule) != rule.parameters, id_
        assert settings.severity != rule.severity, id_


def test_the_quartet_has_one_player_to_a_part() -> None:
    ensemble = load_house("quartet").ensemble
    assert ensemble == load_ensemble("quartet")
    assert [section.players for section in ensemble.sections] == [1, 1, 1, 1]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_strict_leaves_nothing_out(rule: Any) -> None:
    assert load_house("strict").severity(rule) != "off"
