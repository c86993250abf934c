"""The JSON Schema of a report file, every field described in the words of the code.

``python -m rewriter.reporting.schema`` writes it to ``rules/schemas/report.json``, beside those
of the rule files.
"""

import json
import re
from collections.abc import Iterator
from typing import Any

import msgspec
from msgspec import inspect

from rewriter.reporting.as_json import ReportFile
from rewriter.rulefiles.schemas import DIALECT
from rewriter.rulefiles.shelf import shipped_folder

PATH = shipped_folder() / "schemas" / "report.json"

_ATTRIBUTE = re.compile(r"\s{8}(\w+): (.*)")


def report_schema() -> dict[str, Any]:
    """The JSON Schema of a report file."""
    schema = msgspec.json.schema(ReportFile)
    for shape in shapes(inspect.type_info(ReportFile)):
        described = schema["$defs"][shape.__name__]
        described["description"] = (shape.__doc__ or "").partition("\n")[0]
        for name, said in descriptions(shape).items():
            field = described["properties"][name]
            described["properties"][name] = {"description": said, **field}
    return {"$schema": DIALECT, "title": "Report of rewriter expand", **schema}


def shapes(kind: inspect.Type) -> Iterator[type[msgspec.Struct]]:
    """Every kind of object that a value of a type holds, itself first."""
    if isinstance(kind, inspect.StructType):
        yield kind.cls
        below = [field.type for field in kind.fields]
    elif isinstance(kind, inspect.UnionType):
        below = list(kind.types)
    elif isinstance(kind, inspect.ListType):
        below = [kind.item_type]
    elif isinstance(kind, inspect.DictType):
        below = [kind.value_type]
    else:
        below = []
    for each in below:
        yield from shapes(each)


def descriptions(shape: type[msgspec.Struct]) -> dict[str, str]:
    """What the docstring of a type says of each of its attributes."""
    said: dict[str, str] = {}
    name = ""
    _, _, attributes = (shape.__doc__ or "").partition("Attributes:\n")
    for line in attributes.splitlines():
        if match := _ATTRIBUTE.fullmatch(line):
            name = match[1]
            said[name] = match[2]
        elif name and line.strip():
            said[name] += f" {line.strip()}"
    return {name: _plain(text) for name, text in said.items()}


def _plain(text: str) -> str:
    """What a docstring says, in the words of JSON."""
    return text.replace("``", "`").replace("None", "null").replace("True", "true")


def schema_text() -> str:
    """The schema as it is shipped."""
    return json.dumps(report_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    PATH.write_text(schema_text(), encoding="utf-8")
    print(PATH)  # noqa: T201 - run by hand
