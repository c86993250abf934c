"""``rewriter enforce``: what it mends, what it says, and what it leaves alone."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from rewriter.musicxml.containers import unzip_score, write_musicxml_zip
from rewriter.reporting.schema import report_schema
from tests.cli.running import Said, rewriter
from tests.shorthand import finished_score

__all__ = ["rewriter"]

Command = Callable[..., Said]

RIGHT = finished_score({"Violin I": "4/4 | p A4h F#4q F#4q | C#5w | (E7h F3h) |"})
SIGN = b"<accidental>sharp</accidental>"
WRONG = RIGHT.replace(SIGN, b"", 1)

SAID = """\
pier.musicxml: 1 mended, 1 bar changed, written to pier-mended.musicxml; left: 1 error
  Sections  Vn I: Violin I

Bar 1
  error: Vn I, beat 3: F#4 prints no sign and is read as F4, and so is 1 more note after it;
      print a sharp - mended: print a sharp  [accidental-differs]

Bar 3
  error: Vn I, beat 3: F3 is below the lowest string (G3); move it up or give it to a lower
      section - not mended: an octave away it is not in range, or what goes with it is not
      [below-lowest-string]
"""


@pytest.fixture
def pier(tmp_path: Path) -> Path:
    assert WRONG.count(SIGN) + 1 == RIGHT.count(SIGN)
    place = tmp_path / "pier.musicxml"
    place.write_bytes(WRONG)
    return place


def test_the_whole_text(rewriter: Command, pier: Path) -> None:
    assert rewriter("enforce", "pier.musicxml") == (1, SAID, "")
    assert pier.read_bytes() == WRONG
    assert pier.with_name("pier-mended.musicxml").read_bytes() == RIGHT


def test_dry_run_and_json(rewriter: Command, pier: Path) -> None:
    said = rewriter("enforce", "pier.musicxml", "--dry-run", "--json")
    found = json.loads(said.out)
    Draft202012Validator(report_schema("enforce")).validate(found)
    assert [
        (one["part"], one["section"], one["bar"], one["index"]) for one in found["changed"]
    ] == [("P1", "Vn I", "1", 0)]
    assert found["part_list"] is False
    assert [one["mended"] for one in found["findings"]] == [True, False]
    assert list(pier.parent.iterdir()) == [pier]


@pytest.mark.usefixtures("pier")
def test_rules_that_may_not_mend(rewriter: Command) -> None:
    for option in (("--only", "below-lowest-string"), ("--without", "accidental-differs")):
        said = rewriter("enforce", "pier.musicxml", "--dry-run", *option)
        assert "nothing to mend; left: 2 errors" in said.out


def test_a_rule_that_is_none(rewriter: Command, pier: Path) -> None:
    said = 'there is no rule "accidental-difers"; did you mean accidental-differs?\n'
    assert rewriter("enforce", pier.name, "--only", "accidental-difers") == (2, "", said)


def test_what_is_there_is_replaced_only_by_force(rewriter: Command, pier: Path) -> None:
    target = pier.with_name("mine.musicxml")
    target.write_bytes(b"mine")
    said = rewriter("enforce", "pier.musicxml", "-o", "mine.musicxml")
    assert said.status == 2
    assert target.read_bytes() == b"mine"
    rewriter("enforce", "pier.musicxml", "-o", "mine.musicxml", "--force")
    assert target.read_bytes() == RIGHT
    again = rewriter("enforce", "pier.musicxml", "-o", "mine.musicxml")
    assert again.status == 1
    assert rewriter("enforce", "pier.musicxml", "-o", "pier.musicxml", "--force").status == 2
    assert pier.read_bytes() == WRONG


def test_zipped_and_plain(rewriter: Command, pier: Path) -> None:
    zipped = pier.with_name("quay.mxl")
    zipped.write_bytes(write_musicxml_zip(WRONG, "quay.musicxml"))
    rewriter("enforce", "quay.mxl", "pier.musicxml", "--out-dir", "mended")
    assert unzip_score((pier.parent / "mended" / "quay.mxl").read_bytes()) == RIGHT
    assert (pier.parent / "mended" / "pier.musicxml").read_bytes() == RIGHT
    rewriter("enforce", "quay.mxl", "-o", "plain.musicxml")
    assert pier.with_name("plain.musicxml").read_bytes() == RIGHT


def test_a_passage_that_a_house_lays_out_anew(rewriter: Command, tmp_path: Path) -> None:
    """Told before anything is written, in fields; other rules mend nothing when only it may."""
    lantern = {
        "Violin I": "4/4 | p D5q E5q F5q G5q | f A5q F5q E5q F5q | G5q A5q E5h |",
        "Viola": "4/4 clef=alto | R | R | R |",
    }
    (tmp_path / "lantern.musicxml").write_bytes(finished_score(lantern))
    (tmp_path / "ours.toml").write_text(
        '[[scoring]]\nwhere = { dynamic_at_least = "f" }\nwant = "Vn I / Vla"\n', "utf-8"
    )
    options = ("--house", "ours.toml", "--tune", "Vn I", "--only", "scoring", "--dry-run")
    found = json.loads(rewriter("enforce", "lantern.musicxml", *options, "--json").out)
    Draft202012Validator(report_schema("enforce")).validate(found)
    asked = next(one for one in found["findings"] if one["rule"] == "scoring")
    assert (asked["sounds"], asked["wants"], asked["bar"]) == ("Vn I", "Vn I / Vla", "2")
    assert (asked["mended"], asked["mend"]) == (True, "write Vn I loco / Vla")
    assert [(one["section"], one["bar"], one["what"]) for one in found["changed"]] == [
        ("Vla", bar, "write Vn I loco / Vla [scoring]") for bar in ("2", "3")
    ]
    assert not (tmp_path / "lantern-mended.musicxml").exists()
