"""``rewriter check``: what it says of a score, whole."""

from collections.abc import Callable
from pathlib import Path

from tests.cli.running import Said, rewriter
from tests.shorthand import finished_score

__all__ = ["rewriter"]

Command = Callable[..., Said]

PIER = finished_score(
    {
        "Flute": "4/4 | p C5w | R | R |",
        "Violin I": "4/4 | p A4q F#7q A4h | G7w | A4w |",
        "Violini II": "4/4 | p A4w | A4w | F3w |",
    }
)

SAID = """\
pier.musicxml: 3 bars; 1 error, 1 warning
  Sections  Vn I: Violin I; Vn II: Violini II; 1 part is no strings

Bar 1
  warning: Vn I, beat 2: F#7 is above the range (G3 to E7), and so is one more note up to bar 2;
      let the section leader judge  [beyond-range]

Bar 3
  error: Vn II, beat 1: F3 is below the lowest string (G3); move it up or give it to a lower
      section  [below-lowest-string]
"""


def test_the_whole_text(rewriter: Command, tmp_path: Path) -> None:
    (tmp_path / "pier.musicxml").write_bytes(PIER)
    assert rewriter("check", "pier.musicxml") == (1, SAID, "")


def test_a_part_that_is_not_there(rewriter: Command, tmp_path: Path) -> None:
    (tmp_path / "pier.musicxml").write_bytes(PIER)
    said = (
        'pier.musicxml: --section: "P7=Vla": no part is called "P7"; there are "Flute" (P1), '
        '"Violin I" (P2), "Violini II" (P3)\n'
    )
    assert rewriter("check", "pier.musicxml", "--section", "P7=Vla") == (2, "", said)
