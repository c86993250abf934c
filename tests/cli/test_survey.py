"""``rewriter survey``: what it says of a tune, whole."""

import json
import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from rewriter.reporting.schema import report_schema
from rewriter.reporting.survey_picture import picture_of
from rewriter.verbs.survey import survey
from tests.cli.running import Said, rewriter, start
from tests.shorthand import sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]

THEME = (
    "(C4q D4e E4e G4q A4q) | (B4q G4e F4e E4q D4q) | (C4q F4e E4e D4q E4q | F4q A4e G4e E4h)"
)
AGAIN = THEME.replace("E4h", "D4h")
TUNE = sketch(f"4/4 p {THEME} | f C5h (C4q rq) | {AGAIN} | C4w", title="Two rooms")


@pytest.fixture(autouse=True)
def _sketches(tmp_path: Path) -> None:
    """A sketch in the folder where the command is run."""
    (tmp_path / "rooms.musicxml").write_bytes(TUNE)


def test_all_that_is_found_in_a_tune(rewriter: Command) -> None:
    assert rewriter("survey", "rooms.musicxml") == (0, SAID, "")


SAID = """\
rooms.musicxml: bars 1-10, 41 notes

  Tune        "Flute" (P1): the only part
  Compass     C4 (bar 1 beat 1 and 5 more) to C5 (bar 5 beat 1)
  Tessitura   E4 on average; half of the time between D4 and G4
  Strength    soft 41%, full 59%
  Motion      19 up, 20 down, 1 repeated; 49% of what moves rises
  Leaps       2 of a fifth and more, 1 up and 1 down; up m6 to C5 bar 5 beat 1; down P8 to C4
              bar 5 beat 3

  Phrase  Notes  Lowest  Average  Highest  Ends with
  1-4        19  C4      F4       B4       a slur
  5-10       22  C4      E4       C5       the tune

  Statement  Bars  Interval   Differs
  1          1-4   the first
  2          6-9   as 1       nothing

                     C1    C2    C3    C4    C5    C6    C7
  tune     loco                        -===---
  Vn I                              |low|mi|soprano  |h|top | sings
           octave +3                                     -== -0.67  19 out
           15ma                                    -===---    0.70
           8va                               -===---          1.00
           loco                        -===---                0.77
  Vn II    as Vn I
  Vla                            |lo|ten|alto    |hig |      sings
           15ma                                    -==xxxx   -1.01  19 out
           8va                               -===---          0.91
           loco                        -===---                0.95
           8vb                   -===---                      0.54
  Vc                       |bass |tenor      |sopr|          sings
           8va                               -===-xx          0.36  3 out
           loco                        -===---                0.98
           8vb                   -===---                      1.00
           15mb            -===---                            0.28
  Db                   |all          |                       sings
           8vb                   -===xxx                     -0.18  7 out
           15mb            -===---                            0.00
           octave -3 xx==---                                 -4.10  13 out
  = half of the time  - compass  x out of range  | a register begins
"""


def test_as_json_it_says_the_same_and_satisfies_its_schema(rewriter: Command) -> None:
    told = json.loads(rewriter("survey", "rooms.musicxml", "--json").out)
    Draft202012Validator(report_schema("survey")).validate(told)
    assert [one["bars"] for one in told["statements"]] == ["1-4", "6-9"]
    assert told["lowest"]["places"][0]["beat"] == "1"


def test_bars_and_ensemble_are_heeded(rewriter: Command) -> None:
    said = rewriter("survey", "rooms.musicxml", "--bars", "5", "--ensemble", "quartet").out
    assert said.startswith("rooms.musicxml: bar 5, 2 notes\n")
    assert "Db" not in said


def test_a_project_says_which_ensemble(rewriter: Command) -> None:
    Path("rewriter.toml").write_text('ensemble = "quartet"\n')
    said = rewriter("survey", "rooms.musicxml")
    assert "Db" not in said.out
    assert said.err.endswith("rewriter.toml: sets ensemble\n")


@pytest.mark.parametrize(
    ("args", "line"),
    [
        ([], "rewriter survey: SKETCH is missing; see rewriter survey --help"),
        (["gone.xml"], "gone.xml: there is no such file; look at its name and folder"),
        (
            ["rooms.musicxml", "--bars", "40"],
            "rooms.musicxml: there is no bar 40; bars go from 1 to 10",
        ),
    ],
)
def test_what_cannot_be_is_one_line(rewriter: Command, args: list[str], line: str) -> None:
    assert rewriter("survey", *args) == (2, "", f"{line}\n")


def test_the_picture_fits_eighty_columns_and_needs_only_plain_characters() -> None:
    far = sketch("4/4 C2h G7h | `B7e `C1e D4w | " + " | ".join(["D4w"] * 40))
    for data in (TUNE, far):
        for ensemble in ("symphonic", "quartet"):
            for row in picture_of(survey(data, ensemble=ensemble)):
                assert row.isascii()
                assert len(row) <= 80


def test_a_terminal_without_unicode_gets_all_of_it(tmp_path: Path) -> None:
    command = (sys.executable, "-m", "rewriter", "survey", str(tmp_path / "rooms.musicxml"))
    plain = start(*command, PYTHONIOENCODING="ascii", PYTHONPATH=os.pathsep.join(sys.path))
    assert plain.returncode == 0
    assert b"sings" in plain.stdout
    assert b"?" not in plain.stdout
