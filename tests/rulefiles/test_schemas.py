"""The shipped JSON Schemas are what the code generates, and the shipped files satisfy them."""

import json
import re
import tomllib

import pytest

from rewriter.rulefiles.schemas import SHAPES, schema_of, schema_text, write
from rewriter.rulefiles.shelf import shipped_folder

RULES = [
    (kind, path)
    for kind in SHAPES
    for path in sorted((shipped_folder() / f"{kind}s").glob("*.toml"))
]


@pytest.mark.parametrize("kind", SHAPES)
def test_shipped_schemas_are_up_to_date(kind):
    """Written anew by ``python -m rewriter.rulefiles.schemas``."""
    shipped = shipped_folder() / "schemas" / f"{kind}.json"
    assert shipped.read_text(encoding="utf-8") == schema_text(kind)


def test_writing_them(tmp_path):
    assert [path.name for path in write(tmp_path)] == [f"{kind}.json" for kind in SHAPES]
    assert json.loads((tmp_path / "layout.json").read_text(encoding="utf-8"))["$schema"]


def allows(schema, node, value):
    """Whether a value satisfies a node: as much of JSON Schema 2020-12 as ours use."""
    if "$ref" in node:
        return allows(schema, schema["$defs"][node["$ref"].rsplit("/", 1)[1]], value)
    if "anyOf" in node:
        return any(allows(schema, one, value) for one in node["anyOf"])
    if "enum" in node:
        return value in node["enum"]
    if node["type"] == "array":
        return isinstance(value, list) and all(
            allows(schema, node["items"], one) for one in value
        )
    if node["type"] == "object":
        return _object(schema, node, value)
    return _PLAIN[node["type"]](node, value)


def _object(schema, node, value):
    if not isinstance(value, dict) or any(key not in value for key in node.get("required", [])):
        return False
    known, rest = node.get("properties", {}), node.get("additionalProperties", True)
    for key, inner in value.items():
        below = known.get(key, rest)
        if below is False or (isinstance(below, dict) and not allows(schema, below, inner)):
            return False
    return True


def _number(node, value):
    kind = int if node["type"] == "integer" else (int, float)
    return (
        isinstance(value, kind)
        and not isinstance(value, bool)
        and node.get("minimum", value) <= value <= node.get("maximum", value)
    )


def _string(node, value):
    return (
        isinstance(value, str)
        and len(value) >= node.get("minLength", 0)
        and bool(re.search(node.get("pattern", ""), value))
    )


_PLAIN = {
    "string": _string,
    "integer": _number,
    "number": _number,
    "boolean": lambda _, value: isinstance(value, bool),
}


@pytest.mark.parametrize(("kind", "path"), RULES, ids=lambda one: getattr(one, "stem", one))
def test_shipped_files_satisfy_their_schema(kind, path):
    schema = schema_of(kind)
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    assert allows(schema, schema, raw)
    assert path.read_text(encoding="utf-8").startswith(f"#:schema ../schemas/{kind}.json\n")
    assert not allows(schema, schema, {**raw, "sumary": "x"})
    assert not allows(schema, schema, {**raw, "title": 3})


def test_keys_are_those_of_the_files():
    """TOML's own words, not Python's."""
    text = schema_text("layout") + schema_text("plan") + schema_text("ensemble")
    assert '"with"' in text
    assert '"from"' in text
    assert '_"' not in text
    assert '"null"' not in text
