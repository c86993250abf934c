"""JSON Schemas of the rule files, made from the code, so that editors complete and check them.

``python -m rewriter.rulefiles.schemas`` writes them to ``rules/schemas``.
"""

import json
from pathlib import Path
from typing import Any

import msgspec

from rewriter.rulefiles.ensemble_files import EnsembleFile
from rewriter.rulefiles.layout_files import LayoutFile
from rewriter.rulefiles.plan_files import PlanFile
from rewriter.rulefiles.project_files import ProjectFile
from rewriter.rulefiles.shelf import shipped_folder

SHAPES: dict[str, type[msgspec.Struct]] = {
    "ensemble": EnsembleFile,
    "layout": LayoutFile,
    "plan": PlanFile,
    "project": ProjectFile,
}

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema_of(kind: str) -> dict[str, Any]:
    """JSON Schema of one kind of rule file: ``ensemble``, ``layout``, ``plan``, ``project``."""
    return schema_of_shape(SHAPES[kind])


def schema_of_shape(shape: type[msgspec.Struct]) -> dict[str, Any]:
    """JSON Schema of a file with this shape."""
    return {"$schema": DIALECT, **_without_null(msgspec.json.schema(shape))}


def text_of_schema(schema: dict[str, Any]) -> str:
    """A schema as it is shipped."""
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def schema_text(kind: str) -> str:
    """The schema of one kind of rule file as it is shipped."""
    return text_of_schema(schema_of(kind))


def _without_null(node: Any) -> Any:
    """The schema without null: TOML has none, a setting that is not made is missing."""
    if isinstance(node, list):
        return [_without_null(one) for one in node if one != {"type": "null"}]
    if not isinstance(node, dict):
        return node
    kept = {
        key: _without_null(value)
        for key, value in node.items()
        if not (key == "default" and value is None)
    }
    choices = kept.get("anyOf")
    if choices is not None and len(choices) == 1:
        del kept["anyOf"]
        kept = {**choices[0], **kept}
    return kept


def write(folder: Path) -> list[Path]:
    """Write every schema into a folder; the paths written."""
    paths = [folder / f"{kind}.json" for kind in SHAPES]
    for path in paths:
        path.write_text(schema_text(path.stem), encoding="utf-8")
    return paths


if __name__ == "__main__":
    for written in write(shipped_folder() / "schemas"):
        print(written)  # noqa: T201 - run by hand
