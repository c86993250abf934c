"""``rewriter check``: what it says of a score, whole."""

import json
from collections.abc import Callable
from pathlib import Path

from jsonschema import Draft202012Validator

from rewriter.reporting.schema import report_schema
from tests.cli.running import Said, rewriter
from tests.shorthand import finished_score

__all__ = ["rewriter"]

Command = Callable[..., Said]

PIER = finished_score(
    {
        "Flute": "4/4 | p C5w | R | R |",
        "Violin I": "4/4 | p A4q F#7q A4h | G7w | A4w |",
        "Violini II": "4/4 | p A4w | A4w | F3w |",
    }
)

SAID = """\
pier.musicxml: 3 bars; 1 error, 1 warning
  Sections  Vn I: Violin I; Vn II: Violini II; 1 part is no strings

Bar 1
  warning: Vn I, beat 2: F#7 is above the range (G3 to E7), and so is one more note up to bar 2;
      let the section leader judge  [beyond-range]

Bar 3
  error: Vn II, beat 1: F3 is below the lowest string (G3); move it up or give it to a lower
      section  [below-lowest-string]
"""


def test_the_whole_text(rewriter: Command, tmp_path: Path) -> None:
    (tmp_path / "pier.musicxml").write_bytes(PIER)
    assert rewriter("check", "pier.musicxml") == (1, SAID, "")


def test_a_part_that_is_not_there(rewriter: Command, tmp_path: Path) -> None:
    (tmp_path / "pier.musicxml").write_bytes(PIER)
    said = (
        'pier.musicxml: --section: "P7=Vla": no part is called "P7"; there are "Flute" (P1), '
        '"Violin I" (P2), "Violini II" (P3)\n'
    )
    assert rewriter("check", "pier.musicxml", "--section", "P7=Vla") == (2, "", said)


def test_a_folder_with_all_below_it_as_json(rewriter: Command, tmp_path: Path) -> None:
    for place in ("a/b/pier.musicxml", "a/quay.xml", "a/as-made/pier.mxl", "a/.hidden.xml"):
        (tmp_path / place).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / place).write_bytes(PIER if "pier" in place else b"no score")
    said = rewriter("check", "a", "--json")
    assert said.status == 2
    assert said.err.startswith("a/quay.xml: ")
    found = json.loads(said.out)
    Draft202012Validator(report_schema("check")).validate(found)
    assert [one["score"] for one in found["scores"]] == ["a/b/pier.musicxml"]
    assert [one["score"] for one in found["refused"]] == ["a/quay.xml"]
    (warning, error) = found["findings"]
    assert (warning["rule"], warning["part"], warning["section"]) == (
        "beyond-range", "P2", "Vn I",
    )  # fmt: skip
    assert (error["bar"], error["index"], error["beat"], error["sounds"]) == ("3", 2, "1", "F3")


def test_a_folder_without_scores(rewriter: Command, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    said = "empty: no score is in this folder; scores end in .musicxml, .xml, .mxl\n"
    assert rewriter("check", "empty") == (2, "", said)


def test_what_is_known_is_told_again_only_where_its_number_changes(
    rewriter: Command, tmp_path: Path
) -> None:
    place = tmp_path / "pier.musicxml"
    place.write_bytes(PIER)
    first = rewriter("check", "pier.musicxml", "--accept", "known.json")
    assert first.status == 1
    assert first.err == "known.json: written; from now on these findings are known\n"
    again = _again(rewriter)
    assert again.status == 0
    assert "no findings, and 2 known before" in again.out
    # Bars put in before change nothing.
    place.write_bytes(_pier("R | R | R | {} | {} | {} |"))
    assert "no findings, and 2 known before" in _again(rewriter).out
    # What is there twice now is told both times.
    place.write_bytes(_pier("{} | {} | {} | R | R | {} | {} | {} |"))
    assert "2 errors, 2 warnings\n" in _again(rewriter).out
    # Another bar beside it makes it another place; two bars off it does not.
    place.write_bytes(_pier("A4h B4h | {} | {} | {} |"))
    assert "1 warning, and 1 known before\n" in _again(rewriter).out


def _again(rewriter: Command) -> Said:
    return rewriter("check", "pier.musicxml", "--accept", "known.json")


def _pier(bars: str) -> bytes:
    """The score with its three bars at some places of a longer one."""
    violins = {
        "Violin I": ["A4q F#7q A4h", "G7w", "A4w"],
        "Violini II": ["A4w", "A4w", "F3w"],
    }
    return finished_score(
        {name: "4/4 | p " + bars.format(*(own * 2)) for name, own in violins.items()}
    )


def test_a_list_of_known_findings_is_nothing_else(rewriter: Command, tmp_path: Path) -> None:
    (tmp_path / "pier.musicxml").write_bytes(PIER)
    (tmp_path / "notes.txt").write_text("buy rosin")
    said = "notes.txt: this is no list of known findings; name another file with --accept\n"
    assert rewriter("check", "pier.musicxml", "--accept", "notes.txt") == (2, "", said)
