"""What is published of the JSON report: complete, true of real reports, and up to date."""

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import rewriter
from rewriter.reporting.as_json import PartAccount, account_of, report_file
from rewriter.reporting.schema import PUBLISHED, report_schema, schema_path, schema_text
from rewriter.rulefiles.shelf import shipped_folder
from tests.project.readme import ROOT
from tests.reporting.made_up import LANTERN

SKETCHES = sorted(
    path for path in (ROOT / "scores").glob("*.musicxml") if path.stem != "ferrymans-lamp"
)
PLANS = sorted((shipped_folder() / "plans").glob("*.toml"))


def closed(schema: dict[str, Any]) -> Draft202012Validator:
    """The schema, and no field beside those it names."""
    schema = copy.deepcopy(schema)
    for shape in schema["$defs"].values():
        shape["additionalProperties"] = False
    return Draft202012Validator(schema)


VALIDATOR = closed(report_schema())


def faults(data: bytes) -> list[str]:
    return [
        f"{each.json_path}: {each.message}" for each in VALIDATOR.iter_errors(json.loads(data))
    ]


def sketch_of(plan: Path) -> Path:
    """The score that the first row of a plan says it is for."""
    return next(score for score in SKETCHES if score.name in plan.read_text("utf-8"))


@pytest.mark.parametrize("name", PUBLISHED)
def test_the_shipped_schema_is_up_to_date(name: str) -> None:
    """Written anew by ``python -m rewriter.reporting.schema``."""
    assert schema_path(name) == shipped_folder() / "schemas" / f"{name}.json"
    assert schema_path(name).read_text("utf-8") == schema_text(name)


@pytest.mark.parametrize("name", PUBLISHED)
def test_it_is_a_schema(name: str) -> None:
    Draft202012Validator.check_schema(report_schema(name))


def fields() -> Iterator[tuple[str, str, dict[str, Any]]]:
    for published in PUBLISHED:
        for name, shape in report_schema(published)["$defs"].items():
            for field, said in shape["properties"].items():
                yield name, field, said


def test_every_field_and_every_kind_of_object_is_described() -> None:
    found = list(fields())
    assert len(found) > 50
    assert [
        f"{name}.{field}" for name, field, said in found if not said.get("description")
    ] == []
    for published in PUBLISHED:
        for name, shape in report_schema(published)["$defs"].items():
            assert shape["description"].endswith("."), name


def test_descriptions_are_in_the_words_of_json() -> None:
    for name, field, said in fields():
        text = said["description"]
        assert not {"None", "True", "False", "Attributes:", "``"} & set(text.split()), (
            name,
            field,
        )
        assert "  " not in text, (name, field)
        assert text.endswith("."), (name, field)


@pytest.mark.parametrize("score", SKETCHES, ids=lambda path: path.stem)
def test_reports_of_the_demo_scores_satisfy_it(score: Path) -> None:
    made = rewriter.expand(str(score), "Vn I / Vn II + Vla / half Vc", out_of_range="keep")
    parts = [
        PartAccount(
            name=part.name,
            written_to=part.file_name,
            bars=part.bars,
            tacet=part.tacet,
            multi_bar_rests=part.multi_bar_rests,
            cue_notes=part.cue_notes,
            replaced=False,
        )
        for part in rewriter.parts(made.score, stem="x", cue_notes=4)
    ]
    assert len(parts) == 5
    account = account_of(made.report, "x-strings.musicxml", parts)
    assert faults(report_file([account], [("torn.mxl", "torn.mxl: damaged")])) == []


@pytest.mark.parametrize("plan", PLANS, ids=lambda path: path.stem)
def test_reports_of_the_shipped_plans_satisfy_it(plan: Path) -> None:
    made = rewriter.expand(str(sketch_of(plan)), plan=plan.stem, by="down M2")
    assert faults(report_file([account_of(made.report, "x-strings.musicxml")])) == []


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        (("report", "lines", 0, "players"), "many", "lines[0].players"),
        (("report", "lines", 0, "strength"), 16, "lines[0]"),
        (("report", "findings", 0, "severity"), "grave", "findings[0].severity"),
        (("report", "passages", 0, "octave_named"), 1, "passages[0].octave_named"),
        (("report", "kept", "slurs"), -0.5, "kept.slurs"),
        (("report", "lines", 0, "lowest", "bars"), "3", "lowest"),
        (("errors",), None, "errors"),
    ],
)
def test_it_refuses_what_no_report_says(
    path: tuple[str | int, ...], value: object, said: str
) -> None:
    read = json.loads(report_file([account_of(LANTERN, "lantern-strings.musicxml")]))
    assert faults(json.dumps(read).encode()) == []
    node = read["scores"][0]
    for step in path[:-1]:
        node = node[step]
    node[path[-1]] = value
    (fault,) = faults(json.dumps(read).encode())
    assert said in fault
