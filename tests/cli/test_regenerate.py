"""``rewriter regenerate``: what it says and what it leaves, whole."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from lxml import etree

import rewriter as package
from rewriter.musicxml.containers import unzip_score
from rewriter.reporting.schema import report_schema
from tests.cli.running import Said, rewriter
from tests.golden.music import heard_by_music21
from tests.outside.schema import faults
from tests.shorthand import sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]

WAS = sketch("4/4 p C5q D5 E5 F5 | G5h A5 | B5q C6 A5 G5 | C5w |", title="Ferry")
NOW = sketch(
    "4/4 p C5q D5 E5 F5 | G5h A5 | D5q F5 D5 F5 | B5q C6 A5 Bb5 | C5w |", title="Ferry"
)
LAYOUT = "Vn I / Vla"

SAID = """\
ferry-strings.musicxml: 4 edits: 2 carried, 1 in conflict, 1 not carried; {written} to
    ferry-strings-regenerated.musicxml

  Base        as-made/ferry-strings.musicxml.mxl; it has the digest that stands in the score
  Moved       down M2
  Bars        5, before 4
  Copy        as-made/ferry-strings-regenerated.musicxml.mxl
{conflicts}
To settle: changed by hand and in the sketch, plan or key; words in the score say where
  bar 4, beat 1, Violins I: notes, its notes are others now
      the hand      A5 1, Bb5 1, F5 1, F5 1
      the new one   A5 1, Bb5 1, G5 1, Ab5 1, which stands
      leave it, or write the hand's there

Not carried
  bar 4, beat 4, Violas: fingering, it fits another pitch
      the hand      3, before nothing

Carried: notes (1), words (1)
  bar 2  beat 1  Violins I  notes: F5 2, G5 2, now F4 2, G5 2
  bar 4  beat 1  Violas     words dolce

To print again
  Violins I      bars 1-5   another key, other music
  Violins II     bars 1, 3  another key, other music
  Violas         bars 1-5   another key, other music
  Violoncellos   bars 1, 3  another key, other music
  Double Basses  bars 1, 3  another key, other music
"""


def at(root: etree._Element, part: str, bar: int) -> etree._Element:
    (found,) = root.xpath(f"part[@id='{part}']/measure[{bar}]")
    return found


def by_hand(data: bytes) -> bytes:
    """An octave; a note that the sketch changes too; words; a fingering on a note that goes."""
    root = etree.fromstring(data)
    octave = at(root, "P1", 2).find("note/pitch/octave")
    octave.text = str(int(octave.text or "") - 1)  # type: ignore[union-attr]  # it is there
    step = at(root, "P1", 3).find("note[3]/pitch/step")
    step.text = "G"  # type: ignore[union-attr]  # likewise
    bar = at(root, "P3", 3)
    words = "<direction><direction-type><words>dolce</words></direction-type></direction>"
    bar.findall("note")[0].addprevious(etree.fromstring(words))
    sign = "<notations><technical><fingering>3</fingering></technical></notations>"
    bar.findall("note")[3].append(etree.fromstring(sign))
    return etree.tostring(root)


@pytest.fixture
def cue(tmp_path: Path, rewriter: Command, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A sketch expanded and corrected, and as it is now; no other copies are near."""
    folder = tmp_path / "projects" / "work"
    folder.mkdir(parents=True)
    monkeypatch.chdir(folder)
    Path("ferry.musicxml").write_bytes(WAS)
    Path("now.musicxml").write_bytes(NOW)
    assert rewriter("expand", "ferry.musicxml", "--layout", LAYOUT, "-q").status == 0
    score = Path("ferry-strings.musicxml")
    score.write_bytes(by_hand(score.read_bytes()))
    return score


COMMAND = (
    "regenerate", "ferry-strings.musicxml", "--now", "now.musicxml", "--layout", LAYOUT,
    "--by", "down M2",
)  # fmt: skip
WORDS = "to settle: notes, here as the new score has it; the hand has A5 1, Bb5 1, F5 1, F5 1"


def files(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


@pytest.mark.usefixtures("cue")
def test_everything_is_told(rewriter: Command) -> None:
    said = rewriter(*COMMAND)
    assert said == (1, SAID.format(written="written", conflicts=""), "")
    score = Path("ferry-strings-regenerated.musicxml").read_bytes()
    assert WORDS in score.decode()
    assert faults(score) == []


@pytest.mark.usefixtures("cue")
def test_a_dry_run_says_the_same_and_writes_nothing(rewriter: Command, tmp_path: Path) -> None:
    before = files(tmp_path)
    said = rewriter(*COMMAND, "--dry-run")
    assert said == (1, SAID.format(written="would be written", conflicts=""), "")
    assert files(tmp_path) == before


@pytest.mark.usefixtures("cue")
def test_the_copy_is_what_the_tool_alone_makes(rewriter: Command) -> None:
    rewriter(*COMMAND, "-o", "low.mxl")
    alone = package.expand("now.musicxml", LAYOUT, by="down M2").score
    assert unzip_score(Path("as-made/low.mxl").read_bytes()) == alone
    again = rewriter(*COMMAND, "-o", "low.mxl")  # its own last output is replaced
    assert (again.status, again.err) == (1, "")


@pytest.mark.usefixtures("cue")
def test_no_copy_and_no_words(rewriter: Command, tmp_path: Path) -> None:
    said = rewriter(*COMMAND, "--no-copy", "--no-marks", "-q")
    assert said == (1, "", "")
    assert "projects/work/as-made/ferry-strings.musicxml.mxl" in files(tmp_path)
    assert not Path("as-made/ferry-strings-regenerated.musicxml.mxl").exists()
    assert b"to settle" not in Path("ferry-strings-regenerated.musicxml").read_bytes()


@pytest.mark.usefixtures("cue")
def test_what_lost_is_a_score_of_its_own(rewriter: Command) -> None:
    """Source: music21 reads what the small notes are."""
    rewriter(*COMMAND, "--conflicts", "lost.musicxml", "-q")
    data = Path("lost.musicxml").read_bytes()
    assert faults(data) == []
    heard = {name: notes for name, notes in heard_by_music21(data).items() if notes}
    assert [(note.bar, note.pitch) for note in heard["Vn I"]] == [
        ("4", "A5"), ("4", "Bb5"), ("4", "F5"), ("4", "F5"),
    ]  # fmt: skip
    root = etree.fromstring(data)
    assert {one.get("size") for one in root.iter("type")} == {"cue"}
    assert root.xpath("string(//words)") == WORDS
    assert len(root.findall("part/measure")) == 1


@pytest.mark.usefixtures("cue")
def test_the_report_is_as_its_schema_says(rewriter: Command) -> None:
    rewriter(*COMMAND, "--report", "report.json", "-q")
    report = json.loads(Path("report.json").read_text("utf-8"))
    Draft202012Validator(report_schema("regenerate")).validate(report)
    told = report["report"]
    lists = ("carried", "restored", "conflicts", "ambiguous", "dropped")
    assert told["found"] == sum(one["count"] for name in lists for one in told[name])
    (conflict,) = told["conflicts"]
    assert conflict["hand"] == "A5 1, Bb5 1, F5 1, F5 1"
    assert (conflict["section"], conflict["bar"], conflict["index"]) == ("Violins I", "4", 3)
    assert (conflict["beat"], conflict["stands"]) == ("1", "new")
    assert told["print_again"][1]["bars"][0] == {"bar": "1", "index": 0, "reason": "key"}
    again = rewriter(*COMMAND, "--report", "report.json", "-q")
    assert again == (1, "", "")


@pytest.mark.usefixtures("cue")
def test_parts_warn_of_what_is_to_be_settled(rewriter: Command) -> None:
    rewriter(*COMMAND, "-q", "-o", "low.musicxml")
    said = rewriter("parts", "low.musicxml", "--out-dir", "parts", "-q")
    assert said == (
        0,
        "",
        '"to settle:" stands in Violins I (1); settle it in the score and take the words out\n',
    )


@pytest.mark.usefixtures("cue")
def test_through_pipes(rewriter: Command) -> None:
    said = rewriter(*COMMAND, "-o", "-")
    assert said.out.startswith("<?xml")
    assert said.err.startswith("ferry-strings.musicxml: 4 edits")


@pytest.mark.usefixtures("cue")
@pytest.mark.parametrize(
    ("options", "said"),
    [
        (
            ["-o", "ferry-strings.musicxml", "--force"],
            "ferry-strings.musicxml: this is an input and is never written over; name another "
            "file with -o",
        ),
        (
            ["--base", "a.mxl", "--was", "b.mxl"],
            "rewriter regenerate: --base and --was exclude each other; name one of them",
        ),
        (
            ["--was-key", "G"],
            "rewriter regenerate: --was-key is about --was, and that is not there; name the "
            "old sketch",
        ),
        (
            ["--bars", "1-4"],
            'bars: "1-4" does not say which bars are which; write it like "1-8=1-8, '
            '9-40=13-44"',
        ),
        (
            ["--base", "none.mxl"],
            "none.mxl: there is no such file; look at its name and folder",
        ),
        (
            ["--report", "now.musicxml"],
            "now.musicxml: this is an input or a score of the same command; name another "
            "file with --report",
        ),
        (
            ["--conflicts", "notes.txt"],
            "notes.txt: no score has such a name; let it end in .musicxml, .xml or .mxl",
        ),
        (
            ["--conflicts", "ferry-strings.musicxml"],
            "ferry-strings.musicxml: this is an input and is never written over; name another "
            "file with --conflicts",
        ),
    ],
    ids=str,
)
def test_what_is_refused_writes_nothing(
    options: list[str], said: str, rewriter: Command, tmp_path: Path
) -> None:
    before = files(tmp_path)
    assert rewriter(*COMMAND, *options) == (2, "", said + "\n")
    assert files(tmp_path) == before


@pytest.mark.usefixtures("cue")
def test_without_a_copy_it_says_the_ways_out(rewriter: Command) -> None:
    Path("as-made/ferry-strings.musicxml.mxl").unlink()
    said = rewriter(*COMMAND)
    assert said == (
        2,
        "",
        "ferry-strings.musicxml: there is no copy of it as it was made, in as-made or near; "
        "name one with --base, or the sketch it was made of with --was\n",
    )
    said = rewriter(*COMMAND, "--was", "ferry.musicxml", "-q")
    assert said == (1, "", "")


def test_another_version_makes_no_base_anew(cue: Path, rewriter: Command) -> None:
    data = cue.read_bytes().replace(b"<software>rewriter ", b"<software>rewriter 9.")
    cue.write_bytes(data)
    said = rewriter(*COMMAND, "--was", "ferry.musicxml")
    assert said == (
        2,
        "",
        f"ferry-strings.musicxml: it was made by rewriter 9.{package.__version__}, and this is "
        f"rewriter {package.__version__}; name the copy of it as it was made with --base\n",
    )
