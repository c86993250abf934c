"""``rewriter rank``: what it says of layouts for a tune, whole."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from rewriter.reporting.schema import report_schema
from tests.cli.running import Said, rewriter
from tests.shorthand import sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]

TUNE = sketch("4/4 key=1 f | G4h B4q D5q | G5h. F#5q | E5q D5q B4q A4q | G4w |")
LAYOUTS = "violas-over-cellos, violins-over-cellos, Vn I 15ma"


@pytest.fixture(autouse=True)
def _sketches(tmp_path: Path) -> None:
    """A sketch in the folder where the command is run."""
    (tmp_path / "hill.musicxml").write_bytes(TUNE)


def test_all_that_is_said_of_layouts(rewriter: Command) -> None:
    said = rewriter("rank", "hill.musicxml", "--layouts", LAYOUTS, "--keys", "G,D")
    assert said == (0, SAID, "")


SAID = """\
hill.musicxml: bars 1-4, 3 layouts in 2 keys

  Tune        "Flute" (P1): the only part
  Key         G
  Strength    full 100%
  Placed by   singing registers

One level
  Layout     Key  Octave  Weakest        Mean  Players  Balance  By
  Vn I 15ma  D    15ma    Vn I     0.70  0.70       16     100%  down P4
      against it: 16 of 52 players for full music
  Vn I 15ma  G    15ma    Vn I     0.20  0.20       16     100%
      against it: 2 notes out of range; Vn I only 0.20; 16 of 52 players for full music
  The first, scored in full: no findings

Two levels
  Layout               Key  Octave  Weakest             Mean  Players  Balance  By
  violas-over-cellos   G    loco    Vla           1.00  1.00       22      55%
      against it: 22 of 52 players for full music
  violins-over-cellos  G    loco    Vn I + Vn II  0.93  0.96       40      75%
  The first, scored in full: no findings
"""


def test_as_json_it_satisfies_its_schema(rewriter: Command) -> None:
    told = json.loads(rewriter("rank", "hill.musicxml", "--levels", "2", "--json").out)
    Draft202012Validator(report_schema("rank")).validate(told)
    (group,) = told["groups"]
    assert [one["rank"] for one in group["layouts"]] == list(
        range(1, len(group["layouts"]) + 1)
    )


def test_a_project_says_which_ensemble_and_registers(rewriter: Command) -> None:
    Path("rewriter.toml").write_text('ensemble = "quartet"\nregisters = "measured"\n')
    said = rewriter("rank", "hill.musicxml")
    assert "Placed by   measured registers" in said.out
    assert said.err.endswith("rewriter.toml: sets ensemble, registers\n")


@pytest.mark.parametrize(
    ("args", "line"),
    [
        ([], "rewriter rank: SKETCH is missing; see rewriter rank --help"),
        (
            ["hill.musicxml", "--levels", "two"],
            'rewriter rank: --levels: "two" is no number; write it like 2,3',
        ),
        (
            ["hill.musicxml", "--statement", "1"],
            "hill.musicxml: there is no statement 1; nothing of four bars comes back; "
            "see rewriter survey",
        ),
    ],
)
def test_what_cannot_be_is_one_line(rewriter: Command, args: list[str], line: str) -> None:
    assert rewriter("rank", *args) == (2, "", f"{line}\n")
