"""JSON Schemas of what is reported, every field described in the words of the code.

``python -m rewriter.reporting.schema`` writes them to ``rules/schemas``, beside those of the
rule files.
"""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import msgspec
from msgspec import inspect

from rewriter.reporting.as_json import ReportFile
from rewriter.reporting.checked import CheckedFiles
from rewriter.reporting.differences import Differences
from rewriter.reporting.enforced import EnforcedFiles
from rewriter.reporting.rank import Rank
from rewriter.reporting.regenerated import RegeneratedFile
from rewriter.reporting.survey import Survey
from rewriter.rulefiles.schemas import DIALECT
from rewriter.rulefiles.shelf import shipped_folder

_ATTRIBUTE = re.compile(r"\s{8}(\w+): (.*)")


class Published(NamedTuple):
    """A kind of JSON that is published.

    Attributes:
        shape: what is written.
        title: of its schema.
    """

    shape: type[msgspec.Struct]
    title: str


PUBLISHED = {
    "report": Published(ReportFile, "Report of rewriter expand"),
    "check": Published(CheckedFiles, "What rewriter check --json prints"),
    "enforce": Published(EnforcedFiles, "What rewriter enforce --json prints"),
    "regenerate": Published(RegeneratedFile, "Report of rewriter regenerate"),
    "differences": Published(Differences, "What rewriter differences --json prints"),
    "survey": Published(Survey, "What rewriter survey --json prints"),
    "rank": Published(Rank, "What rewriter rank --json prints"),
}
"""By the names of their schemas."""


def schema_path(name: str) -> Path:
    """The file of a schema, beside those of the rule files."""
    return shipped_folder() / "schemas" / f"{name}.json"


def report_schema(name: str = "report") -> dict[str, Any]:
    """The JSON Schema of one of :data:`PUBLISHED`."""
    published, title = PUBLISHED[name]
    schema = msgspec.json.schema(published)
    for shape in shapes(inspect.type_info(published)):
        described = schema["$defs"][shape.__name__]
        described["description"] = (shape.__doc__ or "").partition("\n")[0]
        for field, said in descriptions(shape).items():
            properties = described["properties"]
            properties[field] = {"description": said, **properties[field]}
    return {"$schema": DIALECT, "title": title, **schema}


def shapes(kind: inspect.Type) -> Iterator[type[msgspec.Struct]]:
    """Every kind of object that a value of a type holds, itself first."""
    if isinstance(kind, inspect.StructType):
        yield kind.cls
        below = [field.type for field in kind.fields]
    elif isinstance(kind, inspect.UnionType):
        below = list(kind.types)
    elif isinstance(kind, inspect.ListType | inspect.VarTupleType):
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


def schema_text(name: str = "report") -> str:
    """A schema as it is shipped."""
    return json.dumps(report_schema(name), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    for known in PUBLISHED:
        schema_path(known).write_text(schema_text(known), encoding="utf-8")
        print(schema_path(known))  # noqa: T201 - run by hand
