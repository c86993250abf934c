"""Copies of what was made, as the command keeps and leaves them."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from rewriter.musicxml.containers import unzip_score
from tests.cli.running import Said, rewriter
from tests.shorthand import sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]

ASKED = ("expand", "quay.musicxml", "--parts", "stands", "--report", "r.json")
COPY = Path("as-made/quay-strings.musicxml.mxl")


@pytest.fixture(autouse=True)
def quay(tmp_path: Path) -> None:
    (tmp_path / "quay.musicxml").write_bytes(sketch("4/4 | C5h D5h | E5w |", tune="Melody"))


def copies() -> list[str]:
    return sorted(str(path) for path in Path().rglob("as-made/*"))


def test_of_a_score_and_its_parts_they_are_named_in_the_report(rewriter: Command) -> None:
    said = rewriter(*ASKED, "--layout", "Vn I / Vla")
    assert said.status == 0
    assert unzip_score(COPY.read_bytes()) == Path("quay-strings.musicxml").read_bytes()
    (score,) = json.loads(Path("r.json").read_bytes())["scores"]
    named = [score["copy"], *(part["copy"] for part in score["parts"])]
    assert sorted(named) == copies()
    assert len(named) == 6
    assert f"  Copy        {COPY}\n" in said.out
    assert said.out.endswith("\n  copies as made: stands/as-made\n")
    for part in score["parts"]:
        copy = unzip_score(Path(part["copy"]).read_bytes())
        assert copy == Path(part["written_to"]).read_bytes()


def test_a_dry_run_names_them(rewriter: Command) -> None:
    said = rewriter(*ASKED, "--layout", "Vn I / Vla", "--dry-run")
    assert f"  Copy        {COPY}\n" in said.out
    assert said.out.endswith("\n  copies as made: stands/as-made\n")
    assert [path.name for path in Path().iterdir()] == ["quay.musicxml"]


def test_none_is_kept_where_none_is_wanted(rewriter: Command) -> None:
    said = rewriter(*ASKED, "--layout", "Vn I / Vla", "--no-copy")
    assert said.status == 0
    assert copies() == []
    assert not Path("as-made").exists()
    assert "as-made" not in said.out
    assert rewriter("parts", "quay-strings.musicxml", "--out-dir", "p", "--no-copy").status == 0
    assert copies() == []


def test_of_another_score_none_stays(rewriter: Command) -> None:
    rewriter(*ASKED, "--layout", "Vn I / Vla")
    rewriter(*ASKED, "--layout", "Vn I / Vla", "--no-copy")
    assert len(copies()) == 6
    asked = (*ASKED, "--layout", "Vn I / Vc", "--no-copy")
    row = f"  Copy        {COPY} is of an earlier score and {{}} removed\n"
    assert row.format("would be") in rewriter(*asked, "--dry-run").out
    assert len(copies()) == 6
    assert row.format("is") in rewriter(*asked).out
    assert copies() == []
    assert json.loads(Path("r.json").read_bytes())["scores"][0]["copy"] == ""


def test_a_project_may_want_none(rewriter: Command) -> None:
    Path("rewriter.toml").write_text(
        'copy = false\n[[cue]]\nsketch = "quay.musicxml"\nlayout = "Vc"\n'
        '[[cue]]\nsketch = "quay.musicxml"\nlayout = "Vn I"\nout = "two.mxl"\ncopy = true\n'
    )
    assert rewriter("expand").status == 0
    assert copies() == ["as-made/two.mxl"]
    assert Path("two.mxl").read_bytes() == Path("as-made/two.mxl").read_bytes()
    assert rewriter("expand", "quay.musicxml", "--layout", "Vc", "-o", "x.xml").status == 0
    assert copies() == ["as-made/two.mxl"]


def test_the_command_line_has_the_last_word(rewriter: Command) -> None:
    Path("rewriter.toml").write_text("copy = true\n")
    assert rewriter("expand", "quay.musicxml", "--layout", "Vc", "--no-copy").status == 0
    assert copies() == []


def test_stdout_has_none(rewriter: Command) -> None:
    said = rewriter("expand", "quay.musicxml", "--layout", "Vc", "-o", "-")
    assert "as-made" not in said.err
    assert copies() == []


def test_a_changed_copy_keeps_everything_from_being_written(rewriter: Command) -> None:
    rewriter(*ASKED, "--layout", "Vn I / Vla")
    COPY.write_bytes(b"mine")
    before = {path: path.read_bytes() for path in Path().rglob("*.*") if path.is_file()}
    said = rewriter(*ASKED, "--layout", "Vn I / Vc")
    assert said == (
        2,
        "",
        f"{COPY}: this is no copy as the tool made it; leave the copy out with --no-copy, or "
        "replace it with --force\n",
    )
    assert {path: path.read_bytes() for path in before} == before
    assert rewriter(*ASKED, "--layout", "Vn I / Vc", "--force").status == 0


def test_a_refused_sketch_leaves_no_folder(rewriter: Command) -> None:
    Path("bad.musicxml").write_bytes(b"<score-partwise/>")
    assert rewriter("expand", "bad.musicxml", "--layout", "Vc", "--out-dir", "new").status == 2
    assert not Path("new").exists()
    assert rewriter("expand", "quay.musicxml", "--layout", "Vc", "-o", "no/x.xml").status == 2
    assert not Path("no").exists()


def test_patterns_find_sketches_and_no_copies(rewriter: Command) -> None:
    Path("in").mkdir()
    Path("quay.musicxml").rename("in/quay.mxl.musicxml")
    assert rewriter("expand", "in/quay.mxl.musicxml", "--layout", "Vc", "-o", "in/a.mxl")
    assert copies() == ["in/as-made/a.mxl"]
    said = rewriter("expand", "*/*/*.mxl", "*/*.musicxml", "--layout", "Vc", "--dry-run")
    assert said.status == 0
    assert "a-strings" not in said.out
    named = ("expand", "in/as-made/a.mxl", "in/quay.mxl.musicxml", "--layout", "Vc")
    assert "a-strings" not in rewriter(*named, "--dry-run").out
    said = rewriter("check", "in/a.mxl", "in/as-made/a.mxl")
    assert "as-made" not in said.out
    alone = rewriter(
        "expand", "in/as-made/a.mxl", "--layout", "Vc", "--dry-run", "--tune", "P4"
    )
    assert alone.out.startswith("a-strings.musicxml: would be written")
