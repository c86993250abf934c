"""The JSON Schema of house files: up to date, and it allows what the reader allows."""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from rewriter.checking.house_schema import house_schema
from rewriter.checking.rules import RULES
from rewriter.rulefiles.schemas import text_of_schema
from rewriter.rulefiles.shelf import shipped_folder

SCHEMA = house_schema()
WHOLE = """
title = "Ours"
extends = "recording"
language = "it"
leading = "Vn I"
[rule.long-at-the-top]
severity = "off"
most = 8
[[scoring]]
where = { statement = "last", dynamic_at_least = "f", from = "A", to = "end" }
want = "three-levels-middle-doubled"
handover = { section = "Vc", above = "A4", to = "Vla" }
[[scoring]]
where = { statement = 2 }
levels_at_least = 2
broader_than = "previous statement"
"""


def test_what_is_shipped_is_up_to_date() -> None:
    """Written anew by ``python -m rewriter.checking.house_schema``."""
    shipped = shipped_folder() / "schemas" / "house.json"
    assert shipped.read_text(encoding="utf-8") == text_of_schema(SCHEMA)


def test_it_is_a_schema_that_allows_a_whole_file() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert list(Draft202012Validator(SCHEMA).iter_errors(tomllib.loads(WHOLE))) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("title =", "titel ="),
        ("most = 8", "most = -1"),
        ("most = 8", "mst = 8"),
        ("[rule.long-at-the-top]", "[rule.long-at-the-bottom]"),
        ('severity = "off"', "severity = false"),
        ('statement = "last"', 'statement = "first"'),
        ("levels_at_least = 2", "levels_at_least = 0"),
        ('dynamic_at_least = "f"', 'dynamic_at_least = "sfz"'),
        ('section = "Vc", ', ""),
    ],
)
def test_it_forbids_what_the_reader_refuses(old: str, new: str) -> None:
    assert old in WHOLE
    raw = tomllib.loads(WHOLE.replace(old, new))
    assert list(Draft202012Validator(SCHEMA).iter_errors(raw))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_it_says_of_every_rule_what_it_finds_and_what_is_so_by_default(rule: Any) -> None:
    name = SCHEMA["$defs"]["Rules"]["properties"][rule.id]["$ref"].rsplit("/", 1)[1]
    block = SCHEMA["$defs"][name]
    assert block["description"].startswith(f"{rule.title}. ")
    settings = block["properties"]
    assert settings["severity"]["default"] == rule.severity
    for one in rule.settings:
        assert settings[one.name]["description"]
        assert "default" in settings[one.name]


@pytest.mark.parametrize(
    "path", sorted((shipped_folder() / "house").glob("*.toml")), ids=lambda path: path.stem
)
def test_shipped_files_satisfy_it(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert list(Draft202012Validator(SCHEMA).iter_errors(tomllib.loads(text))) == []
    assert text.startswith("#:schema ../schemas/house.json\n")
