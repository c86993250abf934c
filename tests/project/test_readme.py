"""The README is true: its commands run, say what is printed, and name what there is."""

import doctest
import re
from difflib import unified_diff
from pathlib import Path
from typing import NamedTuple

import pytest

from rewriter.checking.house import load_house
from rewriter.rulefiles.house_files import HouseFile
from rewriter.rulefiles.layout_files import layout_from_text
from rewriter.rulefiles.loading import load_ensemble
from rewriter.rulefiles.scoring_files import HandingFile, ScoringFile, WhereFile
from tests.golden.music import differences, heard_by_music21, music_of
from tests.project.readme import (
    README,
    ROOT,
    Command,
    as_printed,
    blocks,
    commands,
    fresh_folder,
    said_by,
    shipped_plan,
    with_outputs,
)

COMMANDS = (
    "expand", "check", "enforce", "parts", "regenerate", "differences", "rules", "survey",
    "rank",
)  # fmt: skip
"""Those whose options are told."""


class Ran(NamedTuple):
    """All commands of the README, run in order in one folder, and what they said."""

    folder: Path
    said: list[list[str]]


@pytest.fixture(scope="module")
def ran(tmp_path_factory: pytest.TempPathFactory, *, recording: bool) -> Ran:
    folder = tmp_path_factory.mktemp("readme")
    fresh_folder(folder)
    said = [as_printed(command.output, said_by(command, folder)) for command in commands()]
    if recording:
        README.write_text(with_outputs(README.read_text("utf-8"), said), "utf-8")
    return Ran(folder, said)


def test_every_command_says_what_is_printed_under_it(ran: Ran) -> None:
    assert len(commands()) > 5
    assert (ran.folder / "last-ferry-strings.musicxml").exists()
    differing = [
        "\n".join([f"$ {command.line}", *unified_diff(command.output, lines, lineterm="", n=1)])
        for command, lines in zip(commands(), ran.said, strict=True)
        if command.output != lines
    ]
    if differing:
        pytest.fail("\n\n".join(differing), pytrace=False)


def test_the_python_example_runs_as_printed(ran: Ran, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ran.folder)
    (block,) = blocks("python")
    parsed = doctest.DocTestParser().get_doctest(block.text, {}, "README.md", "README.md", 0)
    assert len(parsed.examples) > 3
    failures: list[str] = []
    doctest.DocTestRunner(verbose=False).run(parsed, out=failures.append)
    assert not failures, "".join(failures)


def test_the_music_printed_is_what_music21_hears(ran: Ran) -> None:
    """Source: music21 reads the scores that the commands have written."""
    printed = [block for block in blocks("text") if block.name]
    assert printed
    for block in printed:
        wanted = music_of(block.text)
        bars = {note.bar for notes in wanted.values() for note in notes}
        found = heard_by_music21((ran.folder / block.name).read_bytes())
        heard = {
            name: [note for note in notes if note.bar in bars] for name, notes in found.items()
        }
        wanted = {name: wanted.get(name, []) for name in heard}
        assert not differences(wanted, heard), differences(wanted, heard)


def test_there_are_two_commands_for_a_fresh_machine() -> None:
    run, test = (block.text.strip() for block in blocks("sh"))
    made = "python3 -m venv .venv && .venv/bin/pip install "
    for command in (run, test):
        assert command.startswith(made)
        assert "\n" not in command
    assert ".venv/bin/rewriter expand scores/" in run
    assert test.endswith("-m pytest -q -n auto")


def test_the_first_command_is_shown_with_its_report() -> None:
    run = blocks("sh")[0].text.strip().rpartition(".venv/bin/")[2]
    assert commands()[0].line == run


def test_ci_takes_the_test_command_from_here() -> None:
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    assert "README.md" in script
    assert "pytest" not in script


def test_every_option_that_is_named_is_in_the_help() -> None:
    text = README.read_text("utf-8")
    helped = ""
    for command in COMMANDS:
        helped += _help_of(command)
    named = set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", text)) - {"--help"}
    assert len(named) > 8
    assert [option for option in sorted(named) if f"{option} " not in helped] == []


def test_every_option_of_expand_is_told() -> None:
    options = re.findall(r"^ +(?:-o, )?(--[a-z-]+) ", _help_of("expand"), re.MULTILINE)
    assert len(options) > 15
    text = README.read_text("utf-8")
    assert [option for option in options if f"{option}" not in text] == []


def test_its_layout_comments_every_line() -> None:
    block = next(block for block in blocks("toml") if block.name == "broad.toml")
    layout = layout_from_text(block.text, "broad.toml", load_ensemble("symphonic"))
    assert layout.line
    assert layout.with_
    assert layout.condition
    for line in block.text.splitlines():
        assert re.search(r"  # \w", line) or not line, line


def test_its_house_is_sound_and_its_table_has_every_setting(tmp_path: Path) -> None:
    (block,) = (block for block in blocks("toml") if block.name == "ours.toml")
    file = tmp_path / block.name
    file.write_text(block.text, "utf-8")
    house = load_house(str(file))
    assert len(house.scoring) == block.text.count("[[scoring]]")
    rows = [row for row in README.read_text("utf-8").splitlines() if row.startswith("| ")]
    named = set(re.findall(r"[a-z_]+", " ".join(rows)))
    for shape in (HouseFile, ScoringFile, WhereFile, HandingFile):
        assert set(shape.__struct_encode_fields__) <= named, shape


@pytest.mark.usefixtures("ran")
def test_the_plan_it_shows_is_the_shipped_one() -> None:
    (block,) = (block for block in blocks("toml") if not block.name)
    assert block.text == shipped_plan()


def test_every_file_it_links_to_is_there() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", README.read_text("utf-8")):
        assert (ROOT / target).exists(), target


def _help_of(command: str) -> str:
    return "\n".join(said_by(Command(f"rewriter {command} --help", []), ROOT))
