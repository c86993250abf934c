"""The command as users run it, with nothing made up: processes, files, real sketches."""

import sys
from pathlib import Path

import pytest

from rewriter.musicxml.containers import unzip_score
from rewriter.musicxml.copies import copy_of
from rewriter.musicxml.saving import is_untouched
from tests.cli.running import start

SCORES = Path(__file__).parents[2] / "scores"
SKETCHES = sorted(path for path in SCORES.glob("*.musicxml") if path.stem != "ferrymans-lamp")
LAYOUT = ("--layout", "Vn I / Vn II + Vla / Vc")


@pytest.fixture(scope="module")
def batch(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """All demo scores at once, on all cores: the folder and what was said."""
    folder = tmp_path_factory.mktemp("batch")
    ended = start(
        *(sys.executable, "-m", "rewriter", "expand", *map(str, SKETCHES), *LAYOUT),
        *("--out-dir", str(folder)),
    )
    assert (ended.returncode, ended.stderr) == (0, b"")
    return folder, ended.stdout.decode()


def test_there_are_enough_sketches_for_several_processes() -> None:
    assert len(SKETCHES) >= 4


@pytest.mark.parametrize("sketch", SKETCHES, ids=lambda sketch: sketch.stem)
def test_together_or_alone_makes_no_difference(
    batch: tuple[Path, str], tmp_path: Path, sketch: Path
) -> None:
    folder, said = batch
    ended = start(
        *(sys.executable, "-m", "rewriter", "expand", str(sketch), *LAYOUT),
        *("-o", str(tmp_path / "alone.musicxml")),
    )
    together = folder / f"{sketch.stem}-strings.musicxml"
    alone = ended.stdout.decode()
    for one, other in (
        (tmp_path / "alone.musicxml", together),
        (copy_of(tmp_path / "alone.musicxml"), copy_of(together)),
    ):
        alone = alone.replace(str(one), str(other))
    assert ended.returncode == 0
    assert alone.partition("\n\n")[2] in said  # the first line is wrapped by its length
    data = (tmp_path / "alone.musicxml").read_bytes()
    assert data == together.read_bytes()
    assert is_untouched(data)
    assert unzip_score(copy_of(together).read_bytes()) == data


def test_reports_come_in_the_order_of_the_sketches(batch: tuple[Path, str]) -> None:
    folder, said = batch
    places = [said.index(f"{folder / sketch.stem}-strings.musicxml") for sketch in SKETCHES]
    assert places == sorted(places)


def test_its_own_output_is_replaced_without_a_question(tmp_path: Path) -> None:
    for layout in ("Vc", "Vla"):
        ended = start(
            *(sys.executable, "-m", "rewriter", "expand", str(SKETCHES[0])),
            *("--layout", layout, "--out-dir", str(tmp_path)),
        )
        assert (ended.returncode, ended.stderr) == (0, b"")
