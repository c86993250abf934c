"""``rewriter check --parts``: a score held against the parts on the stands."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

import rewriter as package
from rewriter.problems import Refused
from rewriter.rulefiles.shelf import names
from tests.cli.running import Said, rewriter
from tests.shorthand import finished_score

__all__ = ["rewriter"]

Command = Callable[..., Said]
ROOT = Path(__file__).parents[2]

PIER = finished_score(
    {
        "Violin I": "4/4 tempo=88 | mf C5h D5h | (E5h F5h) | mark=A G5w | A5w |",
        "Viola": "4/4 | p C4w | C4w | C4w | R |",
        "Double Bass": "4/4 clef=bass transpose=0,0,-1 | p C3w | C3w | C3w | C3w |",
    }
)

SAID = """\
pier.musicxml: 4 bars; 1 error, 1 warning
  Sections  Vn I: Violin I; Vla: Viola; Db: Double Bass

Bar 2
  warning: Vn I, beat 1: pier-Violin-I.musicxml has no slur; extract the part again
      [part-marks]
  error: Vla, beat 1: pier-Viola.musicxml has pitch D4 where the score has C4, and 1 more
      difference up to bar 3; extract the part again  [part-notes]
"""


@pytest.fixture
def pier(rewriter: Command, tmp_path: Path) -> Path:
    (tmp_path / "pier.musicxml").write_bytes(PIER)
    assert rewriter("parts", "pier.musicxml", "--out-dir", "parts", "--quiet").status == 0
    return tmp_path / "parts"


@pytest.mark.usefixtures("pier")
def test_parts_nobody_touched_are_in_order(rewriter: Command) -> None:
    before = rewriter("check", "pier.musicxml")
    assert rewriter("check", "pier.musicxml", "--parts", "parts") == before


def test_the_whole_text(rewriter: Command, pier: Path) -> None:
    music = {
        "Violin I": "4/4 tempo=88 | mf C5h D5h | E5h F5h | mark=A G5w | A5w |",
        "Viola": "4/4 tempo=88 | p C4w | D4w | mark=A B3w | R |",
    }
    for name, text in music.items():
        file = pier / f"pier-{name.replace(' ', '-')}.musicxml"
        file.write_bytes(finished_score({name: text}))
    assert rewriter("check", "pier.musicxml", "--parts", "parts") == (1, SAID, "")


def test_files_that_cannot_be_read_and_files_of_other_scores(
    rewriter: Command, pier: Path, tmp_path: Path
) -> None:
    (pier / "pier-Viola.musicxml").write_text("no score")
    (pier / "quay-Viola.musicxml").write_bytes(finished_score({"Viola": "4/4 | C4w |"}))
    (pier / "pier-Harp.musicxml").write_bytes(finished_score({"Harp": "4/4 | C4w |"}))
    shutil.copy(tmp_path / "pier.musicxml", pier)
    said = rewriter("check", "parts/pier.musicxml", "--parts", "parts", "--json")
    found = [
        (one["severity"], one["section"], one["message"])
        for one in json.loads(said.out)["findings"]
    ]
    broken = "pier-Viola.musicxml cannot be read: this is not MusicXML, nor XML of any kind"
    stray = "pier-Harp.musicxml is the part of no section, or a second one"
    assert found == [
        ("error", "", f"{broken}; extract it again"),
        ("warning", "", f"{stray}; take it away"),
    ]


@pytest.mark.usefixtures("pier")
def test_folders_without_parts(rewriter: Command, tmp_path: Path) -> None:
    (tmp_path / "none").mkdir()
    remedy = "name the folder they were written to; parts end in .musicxml, .xml, .mxl"
    for folder, said in {
        "gone": "gone: there is no such folder; look at its name",
        "none": f"none: no part is in this folder; {remedy}",
        "pier.musicxml": "pier.musicxml: this is no folder; name the one it is in",
    }.items():
        assert rewriter("check", "pier.musicxml", "--parts", folder) == (2, "", f"{said}\n")


def test_files_given_one_by_one_and_named_by_another_program() -> None:
    """Names of parts that tell nothing: the files' names do, and bytes have none."""
    found = package.check(
        PIER,
        parts=[
            finished_score({"Viola": "4/4 tempo=88 | p C4w | C4w | mark=A C4w | R |"}),
            finished_score({"Harp": "4/4 | C4w |"}),
        ],
    ).findings
    assert [(one.section, one.message) for one in found if one.rule == "part-files"] == [
        ("", "parts[1] is the part of no section, or a second one; take it away"),
        ("Vn I", "has no part; extract it"),
        ("Db", "has no part; extract it"),
    ]
    assert not [one for one in found if one.rule in {"part-notes", "part-marks"}]


def test_a_part_known_by_the_name_of_its_file(tmp_path: Path) -> None:
    music = finished_score({"Musik": "4/4 tempo=88 | p C4w | C4w | mark=A C4w | R |"})
    (tmp_path / "Pier_Viola_2024.xml").write_bytes(music)
    found = package.check(PIER, parts=tmp_path).findings
    missing = [one.section for one in found if one.rule == "part-files"]
    assert missing == ["Vn I", "Db"]


@pytest.mark.parametrize("plan", names("plans"))
def test_parts_of_demo_scores_agree(plan: str) -> None:
    """Every demo score that a shipped plan fits, with cue notes and without."""
    fits = 0
    for sketch in sorted((ROOT / "scores").glob("*.musicxml")):
        try:
            score = package.expand(sketch, plan=plan).score
        except Refused:  # a plan for another cue
            continue
        fits += 1
        for cue_notes in (0, 4):
            parts = [one.data for one in package.parts(score, cue_notes=cue_notes)]
            found = package.check(score, parts=parts).findings
            assert [one for one in found if one.rule.startswith("part-")] == []
    assert fits
