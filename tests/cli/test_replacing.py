"""What is said when something was there before: scores replaced, parts of an earlier run."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from inline_snapshot import snapshot

import rewriter as api
from rewriter.musicxml.saving import is_untouched
from tests.cli.running import Said, rewriter, without_copies
from tests.shorthand import sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]

QUAY = sketch("4/4 | C5h D5h | E5w | F5h G5h | C5w |", tune="Melody")
LATER = sketch("4/4 | C5h D5h | f E5w | F5h A5h | C5w | G5w |", tune="Melody")
ARGS = ("expand", "quay.musicxml", "--parts", "stands")


@pytest.fixture(autouse=True)
def quay(rewriter: Command) -> None:  # noqa: ARG001 - it moves to the empty folder
    Path("quay.musicxml").write_bytes(QUAY)


def here() -> dict[str, bytes]:
    names = without_copies(str(path) for path in Path().rglob("*") if path.is_file())
    return {name: Path(name).read_bytes() for name in names}


def changed(said: Said) -> list[str]:
    """What is said under *Changed*."""
    before, _, after = said.out.partition("\n  Changed     ")
    assert before
    return [line.strip() for line in after.partition("\n\n")[0].splitlines()]


def test_an_octave_is_told_by_section_and_bar(rewriter: Command) -> None:
    rewriter(*ARGS, "--layout", "Vn I 8va / Vla")
    said = rewriter(*ARGS, "--layout", "Vn I 15ma // Vla")
    assert said.out.startswith("quay-strings.musicxml: replaced, 4 bars, 5 sections; ")
    assert changed(said) == ["Violins I: an octave higher in bars 1-4; 8va line in bar 1"]
    assert "  stands/quay-Violins-I.musicxml:     4 bars, replaced\n" in said.out


def test_other_notes_signs_and_bars(rewriter: Command) -> None:
    rewriter(*ARGS, "--layout", "Vn I / Vla")
    Path("quay.musicxml").write_bytes(LATER)
    assert changed(rewriter(*ARGS, "--layout", "Vn I / Vla")) == snapshot(
        [
            "every part: music that was not there in bar 5",
            "Violins I: other notes in bar 3; dynamic in bar 2",
            "Violas: other notes in bar 3; dynamic in bar 2",
        ]
    )


def test_sections_that_come_and_go(rewriter: Command) -> None:
    rewriter(*ARGS, "--layout", "Vn I / Vla", "--keep-sketch")
    assert changed(rewriter(*ARGS, "--layout", "Vn I / Vla")) == ["Melody: gone"]


def test_the_same_again(rewriter: Command) -> None:
    first = rewriter(*ARGS, "--layout", "Vn I / Vla")
    assert "Changed" not in first.out
    assert ": written, " in first.out
    before = here()
    again = rewriter(*ARGS, "--layout", "Vn I / Vla")
    assert again.out == first.out.replace(": written,", ": up to date,")
    assert here() == before


def test_work_of_somebody_else_that_is_replaced_is_told_too(rewriter: Command) -> None:
    rewriter(*ARGS, "--layout", "Vn I / Vla")
    score = Path("quay-strings.musicxml")
    score.write_bytes(score.read_bytes().replace(b"<octave>5<", b"<octave>6<", 1))
    assert changed(rewriter(*ARGS, "--layout", "Vn I / Vla", "--force")) == [
        "Violins I: an octave lower in bar 1"
    ]
    score.write_text("not a score")
    assert changed(rewriter(*ARGS, "--layout", "Vn I / Vla", "--force")) == [
        "what was there cannot be read as a score"
    ]


def test_a_zipped_score_is_compared_by_what_is_in_it(rewriter: Command) -> None:
    for layout in ("Vc 8vb", "Vc"):  # where it goes anyway
        said = rewriter("expand", "quay.musicxml", "--layout", layout, "-o", "q.mxl")
    assert changed(said) == ["nothing, as music"]


def test_findings_are_compared_where_there_is_an_older_report(rewriter: Command) -> None:
    args = (*ARGS, "--report", "r.json")
    rewriter(*args, "--layout", "Vn I loco")
    said = rewriter(*args, "--layout", "Vn I 8vb")
    assert changed(said) == ["Violins I: an octave lower in bars 1-4"]
    said = rewriter(*args, "--layout", "Vn I 15mb")
    assert changed(said)[-1] == "findings: 1 error new"
    (score,) = json.loads(Path("r.json").read_bytes())["scores"]
    assert score["replaced"] is True
    assert score["changed"] == changed(said)
    assert {part["replaced"] for part in score["parts"] if not part["tacet"]} == {True}
    assert changed(rewriter(*args, "--layout", "Vn I 8vb"))[-1] == "findings: 1 error gone"


# ---- nothing written


def test_a_dry_run_says_the_same_and_writes_nothing(rewriter: Command) -> None:
    args = (*ARGS, "--layout", "Vn I / Vla", "--report", "r.json")
    dry = rewriter(*args, "--dry-run")
    assert here() == {"quay.musicxml": QUAY}
    assert not Path("stands").exists()
    assert dry.out == rewriter(*args).out.replace(": written,", ": would be written,")
    before = here()
    args = (*ARGS, "--layout", "Vn I", "--report", "r.json", "--no-tacet", "--remove-earlier")
    dry = rewriter(*args, "--dry-run")
    assert here() == before
    assert dry.out == (
        rewriter(*args)
        .out.replace(": replaced,", ": would be replaced,")
        .replace("; removed", "; would be removed")
    )


def test_a_dry_run_refuses_what_could_not_be_written(rewriter: Command) -> None:
    rewriter(*ARGS, "--layout", "Vn I / Vla")
    for name in ("stands/quay-Violas.musicxml", "quay-strings.musicxml"):
        path = Path(name)
        path.write_bytes(path.read_bytes() + b"\n")
        dry = rewriter(*ARGS, "--layout", "Vn I", "--dry-run")
        assert dry == rewriter(*ARGS, "--layout", "Vn I")
        assert dry.err.startswith(f"{name}: changed since the tool wrote it; ")


def test_many_in_a_dry_run(rewriter: Command) -> None:
    for name in "abcd":
        Path(f"{name}.musicxml").write_bytes(QUAY)
    before = here()
    said = rewriter(
        "expand", *(f"{name}.musicxml" for name in "abcd"), "--layout", "Vc",
        "--out-dir", "new", "--dry-run",
    )  # fmt: skip
    assert said.out.endswith("\n4 sketches: 4 would be written; no findings\n")
    assert here() == before
    assert not Path("new").exists()


def test_parts_of_a_score_in_a_dry_run(rewriter: Command) -> None:
    rewriter("expand", "quay.musicxml", "--layout", "Vn I")
    before = here()
    args = ("parts", "quay-strings.musicxml", "--out-dir", "stands")
    dry = rewriter(*args, "--dry-run")
    assert here() == before
    assert dry.out == rewriter(*args).out + "nothing was written\n"


# ---- parts of an earlier run


def test_parts_of_sections_that_are_gone_are_named_and_stay(rewriter: Command) -> None:
    rewriter(*ARGS, "--layout", "Vn I / Vla")
    before = here()
    said = rewriter(*ARGS, "--layout", "Vn I / Vla", "--no-tacet")
    assert said.out.partition("\nParts")[2] == snapshot("""\
 (2)
  stands/quay-Violins-I.musicxml:     4 bars
  stands/quay-Violas.musicxml:        4 bars
  stands/quay-Double-Basses.musicxml: of an earlier run; --remove-earlier takes it away
  stands/quay-Violins-II.musicxml:    of an earlier run; --remove-earlier takes it away
  stands/quay-Violoncellos.musicxml:  of an earlier run; --remove-earlier takes it away
  copies as made: stands/as-made
""")
    assert here() == before


def test_they_go_on_request_unless_somebody_has_changed_them(rewriter: Command) -> None:
    rewriter(*ARGS, "--layout", "Vn I / Vla")
    mine = Path("stands/quay-Double-Basses.musicxml")
    mine.write_bytes(mine.read_bytes().replace(b"TACET", b"tacet"))
    others = {
        "stands/quay-thaws-Violas.musicxml": Path("stands/quay-Violas.musicxml").read_bytes(),
        "stands/quay-notes.musicxml": b"mine",
        "stands/quay-Violas.txt": b"mine",
    }
    for name, data in others.items():
        Path(name).write_bytes(data)
    said = rewriter(
        *ARGS, "--layout", "Vn I", "--no-tacet", "--remove-earlier", "--report", "r.json"
    )
    assert said.status == 0
    assert [line.strip() for line in said.out.partition("\nParts (1)\n")[2].splitlines()] == [
        "stands/quay-Violins-I.musicxml:     4 bars, replaced",
        "stands/quay-Double-Basses.musicxml: of an earlier run; changed since, so it stays",
        "stands/quay-Violas.musicxml:        of an earlier run; removed",
        "stands/quay-Violins-II.musicxml:    of an earlier run; removed",
        "stands/quay-Violoncellos.musicxml:  of an earlier run; removed",
        "copies as made: stands/as-made",
    ]
    assert sorted(name for name in here() if name.startswith("stands")) == sorted(
        {"stands/quay-Violins-I.musicxml", str(mine), *others}
    )
    (score,) = json.loads(Path("r.json").read_bytes())["scores"]
    assert score["earlier_parts"][:2] == [
        {"file": str(mine), "changed": True, "removed": False},
        {"file": "stands/quay-Violas.musicxml", "changed": False, "removed": True},
    ]


def test_the_command_for_parts_does_likewise(rewriter: Command) -> None:
    rewriter(*ARGS, "--layout", "Vn I / Vla")
    args = ("parts", "quay-strings.musicxml", "--out-dir", "stands", "--no-tacet")
    named = "of an earlier run; --remove-earlier takes it away\n"
    assert rewriter(*args).out.count(named) == 3
    said = rewriter(*args, "--remove-earlier")
    assert said.out.count("of an earlier run; removed\n") == 3
    assert sorted(Path("stands").glob("*.*")) == [
        Path("stands/quay-Violas.musicxml"),
        Path("stands/quay-Violins-I.musicxml"),
    ]
    assert sorted(path.name for path in Path("stands/as-made").iterdir()) == [
        "quay-Violas.musicxml.mxl",
        "quay-Violins-I.musicxml.mxl",
    ]
    assert rewriter(*args, "--remove-earlier").out.count("\n") == 3


@pytest.mark.parametrize(
    "option", [("--no-tacet",), ("--remove-earlier",), ("--cue-notes", "2")], ids=lambda o: o[0]
)
def test_options_about_parts_need_parts(rewriter: Command, option: tuple[str, ...]) -> None:
    said = rewriter("expand", "quay.musicxml", "--layout", "Vn I", *option)
    assert said == (
        2,
        "",
        f"rewriter expand: {option[0]} is about parts; name a folder for them with --parts\n",
    )


@pytest.mark.parametrize("edited", [False, True])
def test_the_kept_sketch_is_nobodys_part(edited: bool) -> None:  # noqa: FBT001
    other = sketch(
        "4/4 mark=A | p C5h D5h | E5w |", tune="Melody", others={"Piano": "| C3w | C3w |"}
    )
    plain, kept = (
        api.expand(other, "Vn I / Vla", tune="Melody", keep_sketch=keep).score
        for keep in (False, True)
    )
    assert b'id="sketch-' in kept
    if edited:
        kept = kept.replace(b"<step>C</step>", b"<step>B</step>")
        plain = plain.replace(b"<step>C</step>", b"<step>B</step>")
        assert not is_untouched(kept)
    made = api.parts(kept, stem="quay", cue_notes=1)
    assert [part.data for part in made] == [
        part.data for part in api.parts(plain, stem="quay", cue_notes=1)
    ]
    assert [part.name for part in made][-1] == "Double Basses"


def test_a_file_beyond_all_sizes_is_not_read(
    rewriter: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    rewriter(*ARGS, "--layout", "Vn I / Vla")
    Path("quay-strings.musicxml").write_bytes(bytes(2**15))
    monkeypatch.setattr("rewriter.musicxml.containers.MOST_BYTES", 2**15 - 1)
    assert changed(rewriter(*ARGS, "--layout", "Vn I / Vla", "--force")) == [
        "what was there is too large to be compared"
    ]
