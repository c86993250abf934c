"""A house on the command line: what it changes in what is said of a score."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.running import Said, rewriter
from tests.shorthand import finished_score

__all__ = ["rewriter"]

Command = Callable[..., Said]

HEAD = "  Sections  Vn I: Violin I; Vn II: Violini II\n"
HIGH = (
    "Vn I, beat 1: F7 is above the range (G3 to E7); let the section leader judge\n"
    "      [beyond-range]\n"
)
LOW = (
    "Vn II, beat 1: F3 is below the lowest string (G3); move it up or give it to a lower\n"
    "      section  [below-lowest-string]\n"
)


@pytest.fixture(autouse=True)
def pier(rewriter: Command, tmp_path: Path) -> None:  # noqa: ARG001 - its folder is the current one
    music = {"Violin I": "4/4 | p F7w |", "Violini II": "4/4 | p F3w |"}
    (tmp_path / "pier.musicxml").write_bytes(finished_score(music, bracket=True))


def written(text: str, file: str = "ours.toml") -> None:
    Path(file).parent.mkdir(parents=True, exist_ok=True)
    Path(file).write_text(text, encoding="utf-8")


def test_severities_are_those_of_the_house(rewriter: Command) -> None:
    written(
        '[rule.beyond-range]\nseverity = "off"\n'
        '[rule.below-lowest-string]\nseverity = "advice"\n'
    )
    said = f"pier.musicxml: 1 bar; 1 advice\n{HEAD}\nBar 1\n  advice: {LOW}"
    assert rewriter("check", "pier.musicxml", "--house", "ours.toml") == (0, said, "")


def test_the_house_of_the_project_holds_where_no_option_is_given(rewriter: Command) -> None:
    written(
        'extends = "strict"\n[rule.below-lowest-string]\nseverity = "off"\n',
        "rules/house/ours.toml",
    )
    written('house = "ours"\n', "rewriter.toml")
    said = f"pier.musicxml: 1 bar; 1 warning\n{HEAD}\nBar 1\n  warning: {HIGH}"
    told = "rewriter.toml: sets house\n"
    assert rewriter("check", "pier.musicxml") == (0, said, told)
    whole = rewriter("check", "pier.musicxml", "--house", "strict")
    assert whole.status == 1
    assert whole.out.endswith(LOW)
    assert whole.err == ""


def test_the_sections_are_those_of_the_house(rewriter: Command) -> None:
    written('based_on = "symphonic"\n[[section]]\nname = "Vn I"\nhigh = "A7"\n', "tall.toml")
    written('ensemble = "tall.toml"\n')
    said = f"pier.musicxml: 1 bar; 1 error\n{HEAD}\nBar 1\n  error: {LOW}"
    assert rewriter("check", "pier.musicxml", "--house", "ours.toml") == (1, said, "")


@pytest.mark.parametrize(
    ("text", "house", "said"),
    [
        (
            "",
            "recordin",
            'there is no house file called "recordin"; did you mean recording?',
        ),
        (
            "",
            "symphonic",
            '"symphonic" is an ensemble, not a house file; name it with --ensemble',
        ),
        (
            "[rule.beyond-rang]\n",
            "ours.toml",
            'ours.toml:1: rule.beyond-rang: no rule is called "beyond-rang"; '
            "did you mean beyond-range?",
        ),
        (
            "[rule.long-at-the-top]\nmost = -1\n",
            "ours.toml",
            "ours.toml:2: rule.long-at-the-top.most: -1 is less than 0",
        ),
        (
            'stack = "Vn I / Vc"\n',
            "ours.toml",
            "ours.toml: this is a layout, not a house file; name it with --layout",
        ),
    ],
)
def test_what_cannot_be_a_house(rewriter: Command, text: str, house: str, said: str) -> None:
    written(text)
    assert rewriter("check", "pier.musicxml", "--house", house) == (2, "", f"{said}\n")
