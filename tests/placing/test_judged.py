"""Tunes and stacks, and the octave an orchestrator puts them in: a table of judgements.

The table stands in ``judged.toml``, with the reason for each row.
"""

import tomllib
from pathlib import Path
from typing import Any

import pytest

import rewriter
from tests.shorthand import sketch

TABLE = tomllib.loads(Path(__file__).with_name("judged.toml").read_text(encoding="utf-8"))
TUNES = TABLE["tune"]
MARKS = {"soft": "p", "plain": "", "full": "f"}
KINDS = {
    "strength": {"soft", "plain", "full"},
    "compass": {"low", "middle", "high"},
    "width": {"narrow", "wide"},
    "mode": {"major", "minor"},
}


def _sketch(row: dict[str, Any]) -> bytes:
    """The tune under its dynamic, which stands at the first note."""
    return sketch(row["music"].replace(" | ", f" | {MARKS[row['strength']]} ", 1))


@pytest.mark.parametrize("row", [pytest.param(row, id=row["name"]) for row in TUNES])
def test_a_stack_goes_where_an_orchestrator_puts_it(row: dict[str, Any]) -> None:
    passage = rewriter.expand(_sketch(row), row.get("stack") or row["layout"]).report.passages[
        0
    ]
    assert passage.lines[0].octave == row["octave"], f"{row['why']}; the tool: {passage.why}"


def test_the_table_is_of_many_tunes_each_its_own() -> None:
    judged = {(row["music"], row["strength"], row.get("stack")) for row in TUNES}
    assert len(judged) == len(TUNES) > 30
    assert all(row["why"] for row in TUNES)


@pytest.mark.parametrize("kind", KINDS)
def test_the_table_has_tunes_of_every_kind(kind: str) -> None:
    assert {row[kind] for row in TUNES} == KINDS[kind]
