"""What is there already, byte for byte, is not written again, and the report says so."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.running import Said, rewriter
from tests.shorthand import sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]
EXPAND = (
    *("expand", "a.musicxml", "--layout", "Vn I 8va / Vc"),
    *("--parts", "parts", "--report", "r.json"),
)


@pytest.fixture(autouse=True)
def _sketches(tmp_path: Path) -> None:
    (tmp_path / "a.musicxml").write_bytes(sketch("4/4 C4w | D4w"))
    (tmp_path / "b.musicxml").write_bytes(sketch("4/4 E4w | F4w"))


def state() -> dict[str, tuple[int, int]]:
    """Of every file: which it is on the disk, and when it was written."""
    files = [path for path in Path().rglob("*") if path.is_file()]
    return {str(path): (path.stat().st_ino, path.stat().st_mtime_ns) for path in files}


def test_a_second_run_writes_nothing(rewriter: Command) -> None:
    first = rewriter(*EXPAND)
    before = state()
    assert len(before) == 9 + 6
    second = rewriter(*EXPAND)
    assert state() == before
    assert second == first._replace(out=first.out.replace(": written,", ": up to date,"))
    assert first.out.startswith("a-strings.musicxml: written, 2 bars, 5 sections; ")


def test_only_what_differs_is_written(rewriter: Command) -> None:
    rewriter(*EXPAND)
    before = state()
    Path("parts/a-Violins-I.musicxml").unlink()
    said = rewriter(*EXPAND)
    assert said.out.startswith("a-strings.musicxml: written, ")
    after = state()
    assert after["parts/a-Violins-I.musicxml"] != before.pop("parts/a-Violins-I.musicxml")
    assert {name: after[name] for name in before} == before
    assert len(after) == len(before) + 1


def test_several_are_counted(rewriter: Command) -> None:
    rewriter("expand", "a.musicxml", "--layout", "Vn I")
    both = ("expand", "a.musicxml", "b.musicxml", "--layout", "Vn I")
    lines = rewriter(*both).out.splitlines()
    assert lines[-1] == "2 sketches: 1 written, 1 up to date; no findings"
    lines = rewriter(*both).out.splitlines()
    assert lines[-1] == "2 sketches: 2 up to date; no findings"


def test_a_file_somebody_changed_is_still_refused(rewriter: Command) -> None:
    rewriter("expand", "a.musicxml", "--layout", "Vn I")
    with Path("a-strings.musicxml").open("ab") as file:
        file.write(b"\n")
    assert rewriter("expand", "a.musicxml", "--layout", "Vn I") == (
        2,
        "",
        "a-strings.musicxml: changed since the tool wrote it; name another file with -o, or "
        "replace it with --force\n",
    )


def test_parts_likewise(rewriter: Command) -> None:
    rewriter("expand", "a.musicxml", "--layout", "Vn I")
    rewriter("parts", "a-strings.musicxml", "--out-dir", "parts")
    before = state()
    rewriter("parts", "a-strings.musicxml", "--out-dir", "parts")
    assert state() == before
