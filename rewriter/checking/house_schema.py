"""The JSON Schema of a house file, made from the rules there are.

``python -m rewriter.checking.house_schema`` writes it to ``rules/schemas``.
"""

from typing import Any

import msgspec
from msgspec import UNSET, UnsetType

from rewriter.checking.rules import RULES
from rewriter.rulefiles.house_files import HouseFile, block_shape
from rewriter.rulefiles.schemas import schema_of_shape, text_of_schema
from rewriter.rulefiles.shelf import shipped_folder


def house_schema() -> dict[str, Any]:
    """JSON Schema of a house file: of every rule what it finds, and what may be set of it."""
    known = sorted(RULES, key=lambda rule: rule.id)
    kinds: dict[str, type[msgspec.Struct]] = {one.id: type(one.parameters) for one in known}
    blocks = {id_: block_shape(id_, kind) for id_, kind in kinds.items()}
    names = {id_.replace("-", "_"): id_ for id_ in blocks}
    rules = msgspec.defstruct(
        "Rules",
        [(name, blocks[id_] | UnsetType, UNSET) for name, id_ in names.items()],
        rename=names,
        namespace={"__doc__": "The rules there are, each with what may be set of it."},
        forbid_unknown_fields=True,
        kw_only=True,
    )
    whole = msgspec.defstruct(
        "HouseFile",
        [("rule", rules | UnsetType, UNSET)],
        bases=(HouseFile,),
        namespace={"__doc__": HouseFile.__doc__},
        kw_only=True,
    )
    schema = schema_of_shape(whole)
    for rule in known:
        _describe(schema["$defs"][blocks[rule.id].__name__], rule)
    return schema


def _describe(block: dict[str, Any], rule: Any) -> None:
    """Say in the schema of a block what the rule finds, why, and what it does unasked."""
    block["description"] = f"{rule.title}. {rule.why}"
    settings = block["properties"]
    settings["severity"]["default"] = rule.severity
    for one in rule.settings:
        settings[one.name]["default"] = msgspec.to_builtins(one.default)


if __name__ == "__main__":
    target = shipped_folder() / "schemas" / "house.json"
    target.write_text(text_of_schema(house_schema()), encoding="utf-8")
    print(target)  # noqa: T201 - run by hand
