"""The README taken apart: its blocks, what they are, and what their commands really say.

A ``console`` block holds commands after ``$`` and what they say; a line ``...`` stands for
any lines. A ``toml`` block with a name is that file. A ``text`` block whose first word is
``bar`` is music. The two ``sh`` blocks are the commands for a fresh machine.
"""

import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
_BLOCK = re.compile(r"^```(\w+)(?: ([^\n]*))?\n(.*?)^```$", re.DOTALL | re.MULTILINE)
ELLIPSIS = "..."


class Block(NamedTuple):
    """A fenced block: what it is written in, what else its fence says, its text."""

    language: str
    name: str
    text: str


class Command(NamedTuple):
    """A command of a console block, and the lines printed under it."""

    line: str
    output: list[str]

    @property
    def args(self) -> list[str]:
        return shlex.split(self.line, comments=True)


def blocks(language: str) -> list[Block]:
    """The README's blocks in a language, in order."""
    found = (Block(m[1], m[2] or "", m[3]) for m in _BLOCK.finditer(README.read_text("utf-8")))
    return [block for block in found if block.language == language]


def commands() -> list[Command]:
    """All commands of the console blocks, in order."""
    found: list[Command] = []
    for block in blocks("console"):
        for line in block.text.splitlines():
            if line.startswith("$ "):
                found.append(Command(line[2:], []))
            else:
                found[-1].output.append(line)
    return found


def fresh_folder(folder: Path) -> None:
    """Fill a folder with what the commands need: the demo scores, and the README's files."""
    shutil.copytree(ROOT / "scores", folder / "scores")
    for block in blocks("toml"):
        if block.name:
            (folder / block.name).write_text(block.text, "utf-8")


def said_by(command: Command, folder: Path) -> list[str]:
    """What a command says when it is run, stderr behind stdout, and its status if not 0."""
    program, *args = command.args
    assert program == "rewriter", command.line
    ended = subprocess.run(  # noqa: S603 - the README's own commands
        [sys.executable, "-m", "rewriter", *args],
        cwd=folder,
        capture_output=True,
        env={**os.environ, "COLUMNS": "80"},
        check=False,
        timeout=60,
    )
    lines = (ended.stdout + ended.stderr).decode().splitlines()
    return lines + ([f"(exit status {ended.returncode})"] if ended.returncode else [])


def as_printed(printed: list[str], said: list[str]) -> list[str]:
    """What is said, shortened where the README shortens it.

    Behind the ``...`` it goes on with the first line that begins with the same word.
    """
    if ELLIPSIS not in printed:
        return said
    head = printed.index(ELLIPSIS)
    word = printed[head + 1].split()[:1]
    begins = (n for n, line in enumerate(said) if n >= head and line.split()[:1] == word)
    tail = next(begins, head)
    return [*said[:head], ELLIPSIS, *said[tail:]] if tail > head else said


def shipped_plan() -> str:
    """The passages of the plan that the tour shows."""
    text = (ROOT / "rules" / "plans" / "harbour-arc.toml").read_text("utf-8")
    return text[text.index("[[passage]]") :]


def with_outputs(text: str, said: list[list[str]]) -> str:
    """The README with the outputs of its commands, in order, and the plan it shows."""
    left = iter(said)

    def redone(match: re.Match[str]) -> str:
        if (match[1], match[2]) == ("toml", None):
            return f"```toml\n{shipped_plan()}```"
        if match[1] != "console":
            return match[0]
        lines = [line for line in match[3].splitlines() if line.startswith("$ ")]
        body = "".join("\n".join([line, *next(left)]) + "\n" for line in lines)
        return f"```console\n{body}```"

    return _BLOCK.sub(redone, text)
