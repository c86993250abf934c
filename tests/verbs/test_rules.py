"""Listing rule files and showing one."""

from pathlib import Path

import pytest

from rewriter.problems import Refused
from rewriter.rulefiles.shelf import names, shipped_folder
from rewriter.verbs.rules import RuleEntry, rules


@pytest.fixture(autouse=True)
def elsewhere(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("kind", ["layouts", "layout", "Layouts"])
def test_one_kind(kind):
    listed = rules(kind)
    assert [entry.name for entry in listed.entries] == names("layouts")
    assert {entry.kind for entry in listed.entries} == {"layouts"}
    assert listed.text == ""


def test_every_kind_in_order():
    kinds = [entry.kind for entry in rules().entries]
    assert kinds == sorted(kinds, key=["ensembles", "layouts", "plans", "house"].index)
    assert {"ensembles", "layouts"} <= set(kinds)


def test_an_entry():
    (entry,) = rules("layouts", "cellos-over-basses").entries
    assert entry == RuleEntry(
        kind="layouts",
        name="cellos-over-basses",
        shipped=True,
        title="Cellos over basses",
        summary="Octaves by sound, so both read the same notes: the ordinary bass line.",
        stack="Vc / Db",
        character="The normal bass, grave as a tune.",
        source="Rimsky-Korsakov, Principles of Orchestration (1922), ch. II, "
        "doubling in octaves, pp. 40-44, f; example: Snegourotchka 9",
    )


@pytest.mark.parametrize(
    "asked", [("ensembles", "studio"), ("ensemble", "studio"), ("studio",)], ids=str
)
def test_one_file(asked):
    shown = rules(*asked)
    path = shipped_folder() / "ensembles" / "studio.toml"
    assert shown.text == path.read_text(encoding="utf-8")
    assert [entry.name for entry in shown.entries] == ["studio"]


def test_a_faulty_file_of_the_project_is_listed_with_its_fault():
    folder = Path("rules/layouts")
    folder.mkdir(parents=True)
    (folder / "aaa.toml").write_text("title = \n")
    (folder / "bbb.toml").write_text('title = "Mine"\nstack = "Vc"\n')
    first, second, *_ = rules("layouts").entries
    assert (first.name, first.shipped, first.title) == ("aaa", False, "")
    assert first.fault == (
        'rules/layouts/aaa.toml:1: nothing stands after the "="; write title = "..."'
    )
    assert (second.name, second.shipped, second.stack) == ("bbb", False, "Vc")


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (("layoutz",), 'there is no kind of rule called "layoutz"; did you mean layouts?'),
        (
            ("xyzzy",),
            'there is no kind of rule called "xyzzy"; '
            "there are ensembles, layouts, plans, house",
        ),
        (
            ("layouts", "cello-alone"),
            'there is no layout called "cello-alone"; did you mean cellos-alone?',
        ),
    ],
)
def test_what_is_not_there(asked, said):
    with pytest.raises(Refused) as caught:
        rules(*asked)
    assert str(caught.value) == said


def test_one_bad_file_stops_no_listing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever lies in the project's folder, the others are listed, and it with its fault."""
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "rules" / "layouts"
    folder.mkdir(parents=True)
    (folder / "bytes.toml").write_bytes(b"\xff\xfe\x00")
    (folder / "folder.toml").mkdir()
    (folder / "two.dots.toml").write_text('title = "x"\nstack = "Vc"\n')
    (folder / "large.toml").write_bytes(b"#\n" * 2**18)
    (folder / "deep.toml").write_text("x = " + "[" * 400)
    (folder / "pipe.toml").symlink_to("/dev/zero")
    (folder / "list.toml").write_text('title = [1, 2]\nstack = {a = "\\u001b"}\n')
    (folder / "row\n\x1b[2J.toml").write_text("title = 1e99\n")
    (folder / "sound.toml").write_text('title = "x"\nstack = "Vc"\n')
    found = {entry.name: entry for entry in rules("layouts").entries}
    assert found["sound"].fault == ""
    assert found["three-levels-middle-doubled"].fault == ""
    for name in ("bytes", "folder", "two.dots", "large", "deep", "pipe"):
        assert found[name].fault
    for entry in found.values():
        assert (entry.name + entry.title + entry.stack + entry.fault).isprintable()
    assert len(rules().entries) > len(found)
