"""The table of words in DEVELOPERS.md is true, and the words it drops are gone."""

import json
import re
from typing import Any

import pytest

from rewriter.cli.main import COMMANDS, program
from rewriter.reporting.schema import PUBLISHED
from tests.project.readme import ROOT

TABLE = [
    row.split(" | ")
    for row in (ROOT / "DEVELOPERS.md").read_text("utf-8").splitlines()
    if row.startswith("| ") and row.count(" | ") == 3
]
SCHEMAS = {path.stem: json.loads(path.read_text("utf-8"))
           for path in (ROOT / "rules" / "schemas").glob("*.json")}  # fmt: skip

GONE = {
    "report": {
        "anchored", "bare", "carried", "cues", "fitness", "level", "moved", "multi_rests",
        "not_carried", "placed", "resting", "source", "taken_from",
    },
    "ensemble": {"fitness", "fitness_in_four_levels", "key", "strength"},
}  # fmt: skip


def fields(node: Any) -> set[str]:
    """Names of all fields that a schema knows, at any depth."""
    if isinstance(node, list):
        return {name for each in node for name in fields(each)}
    if not isinstance(node, dict):
        return set()
    below = {name for each in node.values() for name in fields(each)}
    return below | set(node.get("properties", {}))


def told(format_name: str) -> set[str]:
    """Fields of JSON, or settings of TOML, that the table names: the last word of each path."""
    found = set()
    for _, _, where, _ in TABLE:
        for listed in re.findall(rf"\b{format_name} ((?:`[^`]+`(?:, )?)+)", where):
            paths = re.findall(r"`\[*([\w.\[\]]+?)[\].\"]*`", listed)
            found |= {path.rpartition(".")[2] for path in paths}
    return found


def test_the_table_is_there() -> None:
    assert len(TABLE) > 25
    assert {"plays", "time", "kept", "by"} <= told("JSON")
    assert {"sings", "players", "leave", "key"} <= told("TOML")


def test_every_field_it_names_is_there() -> None:
    assert told("JSON") - fields([SCHEMAS[name] for name in PUBLISHED]) == set()
    rule_files = [schema for name, schema in SCHEMAS.items() if name not in PUBLISHED]
    assert told("TOML") - fields(rule_files) == set()


def test_every_option_it_names_is_there() -> None:
    options = set()
    with program.make_context("rewriter", ["rules"]) as context:
        for name in COMMANDS:
            command = program.get_command(context, name)
            assert command
            options |= {opt for param in command.get_params(context) for opt in param.opts}
    named = {option for row in TABLE for option in re.findall(r"`(--[a-z-]+)", row[2])}
    named.discard("--keep-")
    assert len(named) > 5
    assert named - options == set()


@pytest.mark.parametrize("name", GONE)
def test_no_field_has_a_name_that_is_gone(name: str) -> None:
    assert fields(SCHEMAS[name]) & GONE[name] == set()
