"""The command itself, against every file that is no score."""

import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.bad_input.cases import CASES
from tests.cli.running import start


class Refusals(NamedTuple):
    """What the command said about all of them in one batch, on all cores."""

    folder: Path
    names: list[str]
    lines: list[str]
    out: str
    status: int


@pytest.fixture(scope="module")
def refusals(tmp_path_factory: pytest.TempPathFactory) -> Refusals:
    folder = tmp_path_factory.mktemp("bad")
    names = [f"{number:02}-{case.file}" for number, case in enumerate(CASES)]
    for name, case in zip(names, CASES, strict=True):
        case.build(folder / name)
    ended = start(
        *(sys.executable, "-m", "rewriter", "expand", *(str(folder / name) for name in names)),
        *("--layout", "Vn I / Vc", "--out-dir", str(folder / "out")),
        *("--report", str(folder / "r.json")),
    )
    lines = ended.stderr.decode().splitlines()
    return Refusals(folder, names, lines, ended.stdout.decode(), ended.returncode)


@pytest.mark.parametrize("number", range(len(CASES)), ids=lambda number: CASES[number].name)
def test_the_command_says_one_line(refusals: Refusals, number: int) -> None:
    path = refusals.folder / refusals.names[number]
    assert (
        refusals.lines[number]
        == f"{path}: {CASES[number].said_of_sketch or CASES[number].said}"
    )


def test_nothing_is_written_and_the_status_is_2(refusals: Refusals) -> None:
    number = len(CASES)
    assert len(refusals.lines) == number
    assert refusals.out == f"\n{number} sketches: 0 written, {number} refused; no findings\n"
    assert refusals.status == 2
    assert {path.name for path in refusals.folder.iterdir()} <= set(refusals.names)
