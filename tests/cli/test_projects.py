"""A project on the command line: its cues brought up to date, its defaults taken."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.running import Said, rewriter
from tests.shorthand import sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]

PROJECT = """\
language = "it"
out_dir = "scores"

[[cue]]
sketch = "one.musicxml"
layout = "Vn I 8va / Vc"

[[cue]]
sketch = "two.musicxml"
plan = "plans/two.toml"
key = "D"
parts = "parts"
cue_notes = 1
"""

PLAN = """\
title = "Two"

[[passage]]
bars = "1"
layout = "Vla"

[[passage]]
bars = "2"
layout = "Vn I"
"""


@pytest.fixture(autouse=True)
def _project(tmp_path: Path) -> None:
    (tmp_path / "one.musicxml").write_bytes(sketch("4/4 C4w | D4w"))
    (tmp_path / "two.musicxml").write_bytes(sketch("4/4 key=0,major C5w | D5w"))
    (tmp_path / "plans").mkdir()
    (tmp_path / "plans" / "two.toml").write_text(PLAN)
    (tmp_path / "rewriter.toml").write_text(PROJECT)


def state() -> dict[str, tuple[int, int]]:
    """Of every file: which it is on the disk, and when it was written."""
    files = [path for path in Path().rglob("*") if path.is_file()]
    return {str(path): (path.stat().st_ino, path.stat().st_mtime_ns) for path in files}


def first_rows(said: Said) -> list[str]:
    return [row for row in said.out.splitlines() if row and row[0] not in " E"]


def test_all_cues_are_brought_up_to_date(rewriter: Command) -> None:
    said = rewriter("expand")
    assert (said.status, said.err) == (0, "")
    assert first_rows(said) == [
        "scores/one-strings.musicxml: written, 2 bars, 5 sections; no findings",
        "scores/two-strings.musicxml: written, 2 bars, 5 sections; no findings",
        "Bar 1  Vla loco",
        "Bar 2  Vn I loco",
        "Parts (5)",
        "2 sketches: 2 written; no findings",
    ]
    assert "Violini I" in Path("scores/one-strings.musicxml").read_text("utf-8")
    assert "Key         up M2, beginning in D major" in said.out


def test_what_is_up_to_date_has_one_row(rewriter: Command) -> None:
    rewriter("expand")
    before = state()
    assert rewriter("expand") == (
        0,
        "scores/one-strings.musicxml: up to date, 2 bars, 5 sections; no findings\n"
        "scores/two-strings.musicxml: up to date, 2 bars, 5 sections; no findings\n"
        "\n2 sketches: 2 up to date; no findings\n",
        "",
    )
    assert state() == before


def test_only_the_cue_that_changed_is_written(rewriter: Command) -> None:
    rewriter("expand")
    before = state()
    Path("one.musicxml").write_bytes(sketch("4/4 E4w | D4w"))
    said = rewriter("expand")
    after = state()
    assert {name for name in after if after[name] != before.get(name)} == {
        "one.musicxml",
        "scores/one-strings.musicxml",
        "scores/as-made/one-strings.musicxml.mxl",
    }
    assert said.out.splitlines()[-1] == ("2 sketches: 1 written, 1 up to date; no findings")


def test_from_a_folder_below(rewriter: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    Path("deep").mkdir()
    monkeypatch.chdir("deep")
    said = rewriter("expand")
    assert first_rows(said)[0] == (
        "../scores/one-strings.musicxml: written, 2 bars, 5 sections; no findings"
    )
    assert Path("../scores/one-strings.musicxml").exists()
    assert list(Path().iterdir()) == []


def test_an_option_wins_over_the_project(rewriter: Command) -> None:
    rewriter("expand", "--language", "de")
    assert "Violinen I" in Path("scores/one-strings.musicxml").read_text("utf-8")


def test_a_named_sketch_takes_the_defaults_and_they_are_told(rewriter: Command) -> None:
    said = rewriter("expand", "one.musicxml", "--layout", "Vn I")
    assert (said.status, said.err) == (0, "rewriter.toml: sets language\n")
    assert "Violini I" in Path("one-strings.musicxml").read_text("utf-8")


def test_but_not_over_an_option(rewriter: Command) -> None:
    said = rewriter("expand", "one.musicxml", "--layout", "Vn I", "--language", "en")
    assert (said.status, said.err) == (0, "")
    assert "Violins I" in Path("one-strings.musicxml").read_text("utf-8")


def test_quietly(rewriter: Command) -> None:
    assert rewriter("expand", "--quiet") == (0, "", "")
    assert rewriter("expand", "one.musicxml", "--layout", "Vn I", "-q") == (0, "", "")
    assert Path("one-strings.musicxml").exists()


def test_a_cue_that_is_refused_stops_no_other(rewriter: Command) -> None:
    Path("one.musicxml").unlink()
    said = rewriter("expand", "--quiet")
    assert said == (
        2,
        "",
        "one.musicxml: there is no such file; did you mean two.musicxml?\n",
    )
    assert Path("scores/two-strings.musicxml").exists()


def test_parts_and_look_take_their_defaults(rewriter: Command) -> None:
    Path("rewriter.toml").write_text('ensemble = "chamber"\ncue_notes = 1\n')
    rewriter("expand", "two.musicxml", "--plan", "plans/two.toml", "-q")
    said = rewriter("parts", "two-strings.musicxml", "--out-dir", "parts")
    assert said.err == "rewriter.toml: sets cue_notes\n"
    assert "cue notes before 1 entry" in said.out
    assert rewriter("look", "one.musicxml").err == "rewriter.toml: sets ensemble\n"


@pytest.mark.parametrize(
    ("text", "args", "line"),
    [
        ("", [], "rewriter.toml: it lists no cue; add [[cue]] with sketch and plan"),
        (
            PROJECT,
            ["--layout", "Vn I"],
            "rewriter expand: --layout is about one sketch, and none is named; "
            "say it in rewriter.toml",
        ),
        (
            'langage = "it"',
            ["one.musicxml", "--layout", "Vn I"],
            "rewriter.toml:1: langage: no such setting here; did you mean language?",
        ),
        (
            PROJECT.replace('"plans/two.toml"', '"harbour-ark"'),
            [],
            'rewriter.toml:10: cue[2].plan: there is no plan called "harbour-ark"; '
            "did you mean harbour-arc?",
        ),
        (
            '[[cue]]\nsketch = "a/x.xml"\nparts = "p"\nout = "1-x.xml"\n'
            '[[cue]]\nsketch = "b/x.xml"\nparts = "p"\nout = "1 x.xml"\n',
            [],
            "rewriter.toml: the parts of a/x.xml and b/x.xml would have the same names; "
            "name another folder with parts",
        ),
    ],
)
def test_what_cannot_be_is_one_line(
    rewriter: Command, text: str, args: list[str], line: str
) -> None:
    Path("rewriter.toml").write_text(text)
    before = state()
    assert rewriter("expand", *args) == (2, "", f"{line}\n")
    assert state() == before


def test_without_a_project_a_sketch_must_be_named(rewriter: Command) -> None:
    Path("rewriter.toml").unlink()
    assert rewriter("expand") == (
        2,
        "",
        "rewriter expand: no sketch is named; name one, or list the cues in a rewriter.toml\n",
    )
