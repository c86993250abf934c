from collections.abc import Callable
from pathlib import Path

import pytest
from inline_snapshot import snapshot

from tests.cli.running import Said, rewriter, without_copies
from tests.shorthand import sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]

QUAY = sketch(
    "4/4 | C5w | D5w | E5w | F5h G5h | A5w |",
    tune="Violins",
    others={"Violas": "4/4 | R | R | R | R | C4w |", "Bass": "4/4 | R | R | R | R | R |"},
)


@pytest.fixture(autouse=True)
def quay(rewriter: Command) -> None:  # noqa: ARG001 - it moves to the empty folder
    Path("quay-strings.musicxml").write_bytes(QUAY)


def here() -> list[str]:
    return sorted(without_copies(str(path) for path in Path().rglob("*") if path.is_file()))


def test_one_file_for_each_section_and_one_line_for_each_file(rewriter: Command) -> None:
    said = rewriter("parts", "quay-strings.musicxml", "--out-dir", "stands")
    assert (said.status, said.err) == (0, "")
    assert said.out == snapshot("""\
stands/quay-Violins.musicxml: 5 bars
stands/quay-Violas.musicxml:  5 bars, 1 multi-bar rest
stands/quay-Bass.musicxml:    5 bars, tacet
copies as made: stands/as-made
""")
    assert here() == [
        "quay-strings.musicxml",
        "stands/quay-Bass.musicxml",
        "stands/quay-Violas.musicxml",
        "stands/quay-Violins.musicxml",
    ]


def test_cues_and_no_sheets_for_the_silent(rewriter: Command) -> None:
    said = rewriter(
        *("parts", "quay-strings.musicxml", "--out-dir", "."),
        *("--cue-notes", "2", "--no-tacet"),
    )
    assert (said.status, said.err) == (0, "")
    assert said.out == snapshot("""\
quay-Violins.musicxml: 5 bars
quay-Violas.musicxml:  5 bars, 1 multi-bar rest, cue notes before 1 entry
copies as made: as-made
""")


def test_it_may_be_done_again_but_not_over_somebodys_work(rewriter: Command) -> None:
    again = ("parts", "quay-strings.musicxml", "--out-dir", "stands")
    assert rewriter(*again) == rewriter(*again)
    edited = Path("stands/quay-Bass.musicxml")
    edited.write_bytes(edited.read_bytes().replace(b"TACET", b"tacet"))
    assert rewriter(*again) == Said(
        2,
        "",
        "stands/quay-Bass.musicxml: changed since the tool wrote it; "
        "name another folder, or replace it with --force\n",
    )
    assert rewriter(*again, "--force").status == 0


@pytest.mark.parametrize(
    ("args", "line"),
    [
        (
            ["quay-strings.musicxml"],
            "rewriter parts: --out-dir is missing; name the folder for the parts",
        ),
        (
            ["--out-dir", "stands"],
            "rewriter parts: SCORE is missing; see rewriter parts --help",
        ),
        (
            ["away.xml", "--out-dir", "stands"],
            "away.xml: there is no such file; look at its name and folder",
        ),
        (
            ["quay-strings.musicxml", "--out-dir", "quay-strings.musicxml"],
            "quay-strings.musicxml/quay-Violins.musicxml: "
            '"quay-strings.musicxml" is a file, not a folder; name another folder',
        ),
    ],
)
def test_what_cannot_be_done_is_one_line_and_nothing_is_written(
    rewriter: Command, args: list[str], line: str
) -> None:
    assert rewriter("parts", *args) == Said(2, "", line + "\n")
    assert here() == ["quay-strings.musicxml"]


@pytest.mark.parametrize(
    ("bars", "said"),
    [
        ("-1", "--cue-notes needs bars of rest; name a number of bars, 0 for none"),
        ("four", '--cue-notes: "four" is no whole number; see rewriter parts --help'),
    ],
)
def test_cue_notes_need_a_number_of_bars(rewriter: Command, bars: str, said: str) -> None:
    args = ("quay-strings.musicxml", "--out-dir", "stands", "--cue-notes", bars)
    assert rewriter("parts", *args) == Said(2, "", f"rewriter parts: {said}\n")


def test_a_score_where_nobody_plays_has_no_parts_to_write(rewriter: Command) -> None:
    Path("still.musicxml").write_bytes(sketch("4/4 | R |", tune="Violins"))
    said = rewriter("parts", "still.musicxml", "--out-dir", "stands", "--no-tacet")
    assert said == Said(0, "every section is tacet; no part was written\n", "")
