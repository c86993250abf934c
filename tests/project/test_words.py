"""Nothing in the project speaks of how it came about, or of the machine it was written on."""

import re
import subprocess

import pytest

from tests.project.readme import ROOT

# Each with a mark in it, so that this file does not break its own rule.
_WORDS = (
    r"\bse|ed[ -]doc", r"\btran|scripts?\b", r"\bvi|deos?\b", r"\bse|ssions?\b",
    r"\bis|sue #?\d", r"des|ign\.md", r"trade-fa|cts", r"sty|le\.md",
    r"/wo|rk/", r"/t|mp/", r"/ro|ot/",
)  # fmt: skip
FORBIDDEN = re.compile("|".join(word.replace("|", "") for word in _WORDS), re.IGNORECASE)
TEXTS = {".py", ".toml", ".md", ".musicxml", ".json", ".txt", ".yaml", ".yml", ""}


def tracked() -> list[str]:
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],  # noqa: S607 - found on the path
        cwd=ROOT, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    if listed.returncode:
        pytest.skip("git: this is no checkout, so nobody knows which files are the project's")
    return [name for name in listed.stdout.splitlines() if (ROOT / name).is_file()]


def test_no_file_has_a_word_or_a_path_that_is_not_the_projects() -> None:
    said = []
    names = [name for name in tracked() if (ROOT / name).suffix in TEXTS]
    assert len(names) > 100
    for name in names:
        for number, line in enumerate((ROOT / name).read_text("utf-8").splitlines(), 1):
            match = FORBIDDEN.search(line)
            if match and f'scope="{match[0]}"' not in line:
                said.append(f"{name}:{number}: {match[0]}")
    assert said == []


def test_the_test_finds_what_it_looks_for() -> None:
    for word in ("the vi|deo", "is|sue 7", "/t|mp/x", "a se|ssion", "se|ed document"):
        assert FORBIDDEN.search(word.replace("|", "")), word
