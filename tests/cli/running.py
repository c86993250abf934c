"""The command line, run inside the test, with a verb that is quick and made up."""

import os
import subprocess
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from types import ModuleType
from typing import IO, NamedTuple

import msgspec
import pytest

from rewriter.cli.main import run
from rewriter.musicxml.copies import FOLDER
from rewriter.musicxml.saving import PLACEHOLDER, stamp
from rewriter.problems import Refused
from rewriter.reporting.results import Report
from tests.reporting.made_up import LANTERN, PLAIN

SCORE = stamp(
    b"<score-partwise><identification><miscellaneous>"
    b'<miscellaneous-field name="content-digest">'
    + PLACEHOLDER.encode()
    + b"</miscellaneous-field></miscellaneous></identification></score-partwise>"
)


def without_copies(names: Iterable[str]) -> set[str]:
    """Names of files, but those of copies of what was made."""
    return {name for name in names if Path(name).parent.name != FOLDER}


def start(
    *command: str, stdout: IO[bytes] | int = subprocess.PIPE, **environment: str
) -> subprocess.CompletedProcess[bytes]:
    """A process of its own, as a shell starts it."""
    return subprocess.run(  # noqa: S603 - the tests' own command lines
        command,
        stdout=stdout,
        stderr=subprocess.PIPE,
        env={**os.environ, "COLUMNS": "80", **environment},
        check=False,
        timeout=60,
    )


class Said(NamedTuple):
    """What a command line came to."""

    status: int
    out: str
    err: str


class MadeUpExpansion(NamedTuple):
    score: bytes
    report: Report


class MadeUpVerb:
    """Expands nothing; a sketch's name says what comes of it, and the calls are kept."""

    def __init__(self) -> None:
        self.calls: list[dict[str, object]] = []

    def __call__(self, sketch: Path, layout: str = "", **settings: object) -> MadeUpExpansion:
        self.calls.append({"sketch": sketch, "layout": layout, **settings})
        if sketch.name.startswith("torn"):
            raise Refused(
                "the file ends too early", "export it again", quotation="<note\n ~~~~"
            )
        if sketch.name.startswith("stop"):
            raise KeyboardInterrupt
        report = LANTERN if sketch.name.startswith("lantern") else PLAIN
        return MadeUpExpansion(SCORE, msgspec.structs.replace(report, sketch=str(sketch)))


@pytest.fixture
def verb(monkeypatch: pytest.MonkeyPatch) -> MadeUpVerb:
    """The verb put in the place of the real one."""
    made_up = MadeUpVerb()
    module = ModuleType("rewriter.verbs.expand")
    module.expand = made_up  # type: ignore[attr-defined]  # a module made up for the test
    monkeypatch.setitem(sys.modules, "rewriter.verbs.expand", module)
    return made_up


@pytest.fixture
def rewriter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., Said]:
    """The command, run in an empty folder."""
    monkeypatch.chdir(tmp_path)

    def command(*args: str) -> Said:
        status = run(args)
        said = capsys.readouterr()
        return Said(status, said.out, said.err)

    return command
