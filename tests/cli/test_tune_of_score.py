"""The tune of a finished score told on the command line, by a part or by a sketch."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.running import Said, rewriter
from tests.shorthand import finished_score, sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]

TUNE = "C5q D5 E5 G5 | A5h G5q E5 | F5q E5 D5 B4 | C5w"
LOW = "C4q D4 E4 G4 | A4h G4q E4 | F4q E4 D4 B3 | C4w"
UP = "D4q E4 F#4 A4 | B4h A4q F#4 | G4q F#4 E4 C#4 | D4w"
RESTS = "R | R | R | R"
OTHERS = "E4w | F4w | A4w | E4w"


@pytest.fixture(autouse=True)
def files(tmp_path: Path) -> None:
    parts = {
        "Violin I": f"4/4 | {TUNE} | {RESTS} |",
        "Viola": f"4/4 | {RESTS} | {UP} |",
        "Cello": f"4/4 | {LOW} | {OTHERS} |",
    }
    (tmp_path / "pier.musicxml").write_bytes(finished_score(parts))
    (tmp_path / "theme.musicxml").write_bytes(sketch(f"4/4 | {TUNE} |"))
    (tmp_path / "other.musicxml").write_bytes(sketch("4/4 | G4w | B4w | Bb4w | A4w |"))
    two = sketch(f"4/4 | {TUNE} |", tune="Oboe", others={"Horn": f"4/4 | {OTHERS} |"})
    (tmp_path / "two.musicxml").write_bytes(two)


@pytest.mark.parametrize(
    ("told", "row"),
    [
        (("--tune", "Vn I"), "Vn I, bars 1-4"),
        (("--tune", "P2"), "P2, bars 5-8"),
        (("--sketch", "theme.musicxml"), "theme.musicxml, bars 1-4, 5-8 (2 semitones up)"),
        (("--sketch", "other.musicxml"), "other.musicxml, which is nowhere in this score"),
    ],
)
@pytest.mark.parametrize("command", ["check", "enforce"])
def test_where_the_tune_is_is_told(
    rewriter: Command, command: str, told: tuple[str, str], row: str
) -> None:
    said = rewriter(command, "pier.musicxml", *told)
    assert said.err == ""
    assert said.out.splitlines()[2] == f"  Tune      {row}"


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (
            ("--tune", "Vn I", "--sketch", "theme.musicxml"),
            "rewriter check: --sketch and --tune exclude each other; name one of them\n",
        ),
        (
            ("--tune", "Oboe"),
            'pier.musicxml: no part is called "Oboe"; choose one with --tune: "Violin I" (P1), '
            '"Viola" (P2), "Cello" (P3)\n',
        ),
        (
            ("--sketch", "two.musicxml"),
            "two.musicxml: no part is named like a tune; call the part of the tune Melody, or "
            "name a part with --tune\n",
        ),
    ],
)
def test_what_cannot_be_told(rewriter: Command, told: tuple[str, ...], said: str) -> None:
    assert rewriter("check", "pier.musicxml", *told) == (2, "", said)
