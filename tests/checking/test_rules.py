"""Every rule is whole, is listed, and has cases: some it must find, some it must leave alone.

A case is a short sketch and who plays it, or a short finished score (``score``, the music of
each part by its name), whose tune a part (``tune``) or a sketch (``sketch``) may tell, and
which a house may look at (``house``, the text of ``ours.toml``, with other ``files`` beside
it); what is found is written by hand, as the report words it. The cases of a rule stand in
``cases/ID.toml``. What stands in the part list besides names is ``listed``, as XML by name, and
``bracket`` puts one around all parts. Of a score, ``mended`` gives the parts that mending
changes as they are then; it must be there, if only empty, where the rule mends notes or signs.
``parts`` are the files of a folder it is held against, each by the name of its part.
"""

import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

import rewriter
from rewriter.checking import rules
from rewriter.checking.finished import Finished
from rewriter.checking.house import House, load_house
from rewriter.checking.looking import findings_in_score
from rewriter.checking.mending import mended
from rewriter.checking.part_files import PartFiles, read_part_files
from rewriter.checking.rule import Rule
from rewriter.checking.rules import RULES
from rewriter.comparing.comparison import compare
from rewriter.problems import Finding
from rewriter.rulefiles.loading import load_ensemble
from rewriter.scores.score import read_score
from rewriter.verbs.check import tune_told
from tests.all_rules import EVERY_RULE, with_every_rule
from tests.plain_xml import bar_of, score
from tests.planned import by_layout, by_plan, layout
from tests.shorthand import finished_score, sketch

CASES = Path(__file__).parent / "cases"
FOLDER = Path(rules.__file__).parent


def _cases() -> list[Any]:
    found = []
    for path in sorted(CASES.glob("*.toml")):
        for kind, cases in tomllib.loads(path.read_text(encoding="utf-8")).items():
            assert kind in {"good", "bad"}, path
            for case in cases:
                assert (kind == "bad") == bool(case.get("finds")), (path, case["name"])
                found.append(pytest.param(path.stem, case, id=f"{path.stem}: {case['name']}"))
    return found


@pytest.mark.parametrize(("rule", "case"), _cases())
def test_what_a_rule_finds(
    rule: str, case: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    found = _found(case) if "score" in case else _expanded(case).report.findings
    said = [
        f"{one.severity}: {one.place.text}: {one.text}" for one in found if one.rule == rule
    ]
    assert said == case.get("finds", [])


def _found(case: dict[str, Any]) -> Sequence[Finding]:
    return findings_in_score(_looked_at(_score(case), case), _house(case))


def _score(case: dict[str, Any]) -> bytes:
    listed, bracket = case.get("listed"), case.get("bracket", False)
    return finished_score(case["score"], listed=listed, bracket=bracket)


def _house(case: dict[str, Any]) -> House:
    if "house" not in case:
        return EVERY_RULE
    for name, text in {"ours.toml": case["house"], **case.get("files", {})}.items():
        Path(name).write_text(text, encoding="utf-8")
    return with_every_rule(load_house("ours.toml"))


def _looked_at(data: bytes, case: dict[str, Any]) -> Finished:
    told = tune_told(sketch(case["sketch"]) if "sketch" in case else None, case.get("tune", ""))
    forces = load_ensemble(case.get("ensemble", "symphonic"))
    return Finished(read_score(data), forces, told_tune=told, part_files=_part_files(case))


def _part_files(case: dict[str, Any]) -> PartFiles | None:
    if "parts" not in case:
        return None
    folder = Path("parts")
    folder.mkdir()
    for name, music in case["parts"].items():
        data = finished_score({name: music})
        (folder / f"quay-{name.replace(' ', '-')}.musicxml").write_bytes(data)
    return read_part_files(folder, "quay")


@pytest.mark.parametrize(
    ("rule", "case"), [one for one in _cases() if "mended" in one.values[1]]
)
def test_what_a_rule_mends(
    rule: str, case: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Parts that the case gives are as it gives them, all others byte for byte the same."""
    monkeypatch.chdir(tmp_path)
    house = _house(case)

    def again(data: bytes) -> Finished:
        return _looked_at(data, case)

    def wanted(one: str) -> bool:
        return one == rule

    before = again(_score(case))
    after = mended(before, house, again, wanted=wanted).score
    as_given = read_score(finished_score(case["score"] | case["mended"]))
    assert compare(after.score, as_given).differences == []
    for name, was, now in zip(
        case["score"], before.score.parts, after.score.parts, strict=True
    ):
        assert name in case["mended"] or was.bars == now.bars
    assert mended(after, house, again, wanted=wanted).score is after


def _expanded(case: dict[str, Any]) -> rewriter.Expansion:
    options = {"out_of_range": case["out_of_range"]} if "out_of_range" in case else {}
    if "bar" in case:
        data = score([bar_of(case["bar"])])
    else:
        data = sketch(case["sketch"], tune="Melody", others=case.get("others"))
    text = layout(case["stack"], *case.get("layout", ()))
    if "passages" in case:
        passages = ("\n".join(lines) for lines in case["passages"])
        return by_plan(data, *passages, case=text)
    return by_layout(data, text, **options)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_is_whole(rule: Rule[Any, Any]) -> None:
    for text in (rule.title, rule.why, rule.instead, rule.source):
        assert text.strip() == text != ""
    assert (FOLDER / f"{rule.id.replace('-', '_')}.py").is_file()
    for one in rule.settings:
        assert one.meaning, one.name
    cases = tomllib.loads((CASES / f"{rule.id}.toml").read_text(encoding="utf-8"))
    assert cases["good"]
    assert cases["bad"]


def test_every_file_is_listed_once_and_has_cases() -> None:
    ids = [rule.id for rule in RULES]
    files = {path.stem.replace("_", "-") for path in FOLDER.glob("*.py")} - {"--init--"}
    assert sorted(ids) == sorted(files)
    assert {path.stem for path in CASES.glob("*.toml")} == set(ids)


def test_a_house_may_set_what_a_rule_says_it_may() -> None:
    (rule,) = (rule for rule in RULES if rule.id == "long-at-the-top")
    assert [(one.name, one.default) for one in rule.settings] == [("most", 4)]
