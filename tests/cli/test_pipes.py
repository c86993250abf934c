"""``-``: a sketch from stdin, a score to stdout, the report out of its way."""

import io
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import rewriter as package
from tests.cli.running import Said, rewriter, start
from tests.shorthand import sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]
DATA = sketch("4/4 C4w | D4w", title="Bell")
SCORE = package.expand(DATA, "Vn I 8va / Vc").score
FERRY = Path(__file__).parents[2] / "scores" / "last-ferry.musicxml"
LAYOUT = ("--layout", "Vn I 8va / Vc")


class Stdin(io.TextIOWrapper):
    """What a pipe brings."""

    def __init__(self, data: bytes) -> None:
        super().__init__(io.BytesIO(data))


@pytest.fixture(autouse=True)
def _stdin(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "stdin", Stdin(DATA))
    (tmp_path / "bell.musicxml").write_bytes(DATA)


def test_a_sketch_from_stdin(rewriter: Command) -> None:
    said = rewriter("expand", "-", *LAYOUT, "-o", "out.musicxml")
    assert (said.status, said.err) == (0, "")
    assert said.out.startswith("out.musicxml: written, 2 bars, 5 sections; ")
    assert Path("out.musicxml").read_bytes() == SCORE


def test_a_score_to_stdout_and_the_report_to_stderr(rewriter: Command) -> None:
    said = rewriter("expand", "bell.musicxml", *LAYOUT, "-o", "-")
    assert said.out.encode() == package.expand("bell.musicxml", LAYOUT[1]).score
    assert said.err.startswith("bell.musicxml: expanded, 2 bars, 5 sections; ")
    assert [path.name for path in Path().iterdir()] == ["bell.musicxml"]


def test_both_and_quietly(rewriter: Command) -> None:
    assert rewriter("expand", "-", *LAYOUT, "-o", "-", "-q") == (0, SCORE.decode(), "")


def test_parts_and_report_with_it(rewriter: Command) -> None:
    asked = ("--parts", "parts", "--report", "r.json")
    said = rewriter("expand", "-", *LAYOUT, "-o", "-", "-q", *asked)
    assert said.out.encode() == SCORE
    assert sorted(path.name for path in Path("parts").glob("*.musicxml")) == [
        "Bell-Double-Basses.musicxml",
        "Bell-Violas.musicxml",
        "Bell-Violins-I.musicxml",
        "Bell-Violins-II.musicxml",
        "Bell-Violoncellos.musicxml",
    ]
    assert '"written_to": ""' in Path("r.json").read_text("utf-8")


def test_parts_of_a_score_from_stdin(
    rewriter: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", Stdin(SCORE))
    assert rewriter("parts", "-", "--out-dir", "parts", "-q") == (0, "", "")
    assert Path("parts/Bell-Violins-I.musicxml").exists()


def test_looking_at_what_stdin_brings(rewriter: Command) -> None:
    said = rewriter("look", "-")
    assert said.out.startswith("sketch: 2 bars, 1 voice\n\n  Title       Bell\n")


@pytest.mark.parametrize(
    ("args", "line"),
    [
        (["-"], "rewriter expand: the score of - has no name; name it with -o"),
        (
            ["-", "-", "--out-dir", "out"],
            "rewriter expand: the score of - has no name; name it with -o",
        ),
    ],
)
def test_what_cannot_be_is_one_line(rewriter: Command, args: list[str], line: str) -> None:
    assert rewriter("expand", *args, *LAYOUT) == (2, "", f"{line}\n")


def test_what_is_no_score(rewriter: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", Stdin(b"hello"))
    said = rewriter("expand", "-", *LAYOUT, "-o", "-")
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith("sketch: ")
    assert said.err.count("\n") == 1


def test_as_a_shell_has_it() -> None:
    shell = f"{sys.executable} -m rewriter expand - {LAYOUT[0]} '{LAYOUT[1]}' -o - -q"
    ended = start("bash", "-c", f"{shell} < {FERRY}")
    assert (ended.returncode, ended.stderr) == (0, b"")
    assert ended.stdout == package.expand(FERRY.read_bytes(), LAYOUT[1]).score


def test_a_reader_that_has_gone_is_no_fault() -> None:
    command = f"{sys.executable} -m rewriter expand {FERRY} --layout 'Vn I' -o -"
    ended = start("bash", "-c", f"set -o pipefail; {command} | true")
    assert ended.returncode == 0
