"""Where rules are found, and what is said when they are not."""

import pytest

from rewriter.problems import Refused
from rewriter.rulefiles.shelf import find_rule, names, shipped_folder, shown


def test_shipped_rules_are_found_from_any_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    path, text = find_rule("layouts", "cellos-alone")
    assert path == shipped_folder() / "layouts" / "cellos-alone.toml"
    assert 'stack = "Vc"' in text
    assert shown(path) == "cellos-alone.toml"


def test_project_rules_are_listed_with_the_shipped_ones(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "rules" / "layouts").mkdir(parents=True)
    for name in ("aaa", "cellos-alone"):
        (tmp_path / "rules" / "layouts" / f"{name}.toml").write_text("")
    listed = names("layouts")
    assert listed[0] == "aaa"
    assert listed.count("cellos-alone") == 1
    assert listed == sorted(listed)
    assert str(find_rule("layouts", "aaa")[0]) == "rules/layouts/aaa.toml"


def test_a_kind_nobody_has_is_empty(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("rewriter.rulefiles.shelf.shipped_folder", lambda: tmp_path / "none")
    assert names("house") == []


@pytest.mark.parametrize(
    ("kind", "name", "said"),
    [
        (
            "ensembles",
            "symfonic",
            'there is no ensemble called "symfonic"; did you mean symphonic?',
        ),
        (
            "ensembles",
            "zzz",
            'there is no ensemble called "zzz"; '
            "there are chamber, concert, quartet, studio, symphonic",
        ),
        (
            "layouts",
            "Cellos Alone",
            'there is no layout called "Cellos Alone"; did you mean cellos-alone?',
        ),
        (
            "ensembles",
            "../ensembles/symphonic",
            'there is no ensemble called "../ensembles/symphonic"; '
            "there are chamber, concert, quartet, studio, symphonic",
        ),
        ("plans", "gone.toml", "gone.toml: there is no such file"),
    ],
)
def test_what_is_not_there(kind, name, said, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(Refused) as caught:
        find_rule(kind, name)
    assert str(caught.value) == said
