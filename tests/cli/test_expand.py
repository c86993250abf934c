import json
from collections.abc import Callable
from pathlib import Path

import pytest
from inline_snapshot import snapshot

from rewriter.reporting.text import as_text
from tests.cli.running import SCORE, MadeUpVerb, Said, rewriter, verb, without_copies
from tests.reporting.made_up import PLAIN

__all__ = ["rewriter", "verb"]

Command = Callable[..., Said]


def everything_here() -> dict[str, bytes]:
    """Every file but copies of what was made."""
    names = without_copies(str(path) for path in Path().rglob("*") if path.is_file())
    return {name: Path(name).read_bytes() for name in sorted(names)}


def test_the_score_goes_beside_and_the_report_to_stdout(
    rewriter: Command, verb: MadeUpVerb
) -> None:
    said = rewriter("expand", "sketches/quay.mxl", "--layout", "Vla + Vc")
    assert everything_here() == {"quay-strings.musicxml": SCORE}
    assert (said.status, said.err) == (0, "")
    assert said.out.splitlines()[0] == (
        "quay-strings.musicxml: written, 1 bar, 5 sections; no findings"
    )
    assert verb.calls == [
        {
            "sketch": Path("sketches/quay.mxl"),
            "layout": "Vla + Vc",
            "plan": "",
            "ensemble": "symphonic",
            "out_of_range": "",
            "registers": "",
            "tune": "",
            "chords": "",
            "key": "",
            "by": "",
            "direction": "nearest",
            "keep_sketch": False,
            "keep_lyrics": False,
            "keep_harmony": False,
            "language": "",
        }
    ]


def test_every_option_reaches_the_verb(rewriter: Command, verb: MadeUpVerb) -> None:
    said = rewriter(
        *("expand", "quay.xml", "--layout", "four-levels", "--ensemble", "studio"),
        *("--out-of-range", "octave", "--tune", "P1 staff 2", "--chords", "divide"),
        *("--keep-sketch", "--keep-lyrics", "--keep-harmony", "--language", "de"),
        *("--key", "Es-Dur", "--down", "--registers", "measured"),
    )
    assert said.status == 0
    assert verb.calls == [
        {
            "sketch": Path("quay.xml"),
            "layout": "four-levels",
            "plan": "",
            "ensemble": "studio",
            "out_of_range": "octave",
            "registers": "measured",
            "tune": "P1 staff 2",
            "chords": "divide",
            "key": "Es-Dur",
            "by": "",
            "direction": "down",
            "keep_sketch": True,
            "keep_lyrics": True,
            "keep_harmony": True,
            "language": "de",
        }
    ]


@pytest.mark.usefixtures("verb")
def test_errors_in_the_music_make_the_status_1(rewriter: Command) -> None:
    said = rewriter("expand", "lantern.xml", "--layout", "Vn I", "-o", "out.xml")
    assert (said.status, said.err) == (1, "")
    assert everything_here() == {"out.xml": SCORE}


@pytest.mark.usefixtures("verb")
def test_a_refusal_is_one_line_and_writes_nothing(rewriter: Command) -> None:
    said = rewriter("expand", "torn.xml", "--layout", "Vn I", "--report", "r.json")
    assert said == (2, "", "torn.xml: the file ends too early; export it again\n")
    assert everything_here() == {}


@pytest.mark.usefixtures("verb")
def test_on_a_terminal_a_refusal_quotes_the_place(
    rewriter: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("rewriter.cli.telling.is_terminal", lambda _: True)
    said = rewriter("expand", "torn.xml", "--layout", "Vn I")
    assert said.err == "torn.xml: the file ends too early; export it again\n<note\n ~~~~\n"


@pytest.mark.usefixtures("verb")
@pytest.mark.parametrize("names", [["quay", "torn", "lantern"], ["torn", "b", "c", "lantern"]])
def test_one_bad_sketch_stops_no_other(
    rewriter: Command, monkeypatch: pytest.MonkeyPatch, names: list[str]
) -> None:
    monkeypatch.setattr("rewriter.cli.batch._cores", lambda: 1)  # the verb is made up here only
    sketches = [f"{name}.xml" for name in names]
    said = rewriter(
        "expand", *sketches, "--layout", "Vn I", "--out-dir", "a/b", "--report", "r.json"
    )
    assert said.status == 2
    assert said.err == "torn.xml: the file ends too early; export it again\n"
    written = [f"a/b/{name}-strings.musicxml" for name in names if name != "torn"]
    assert set(everything_here()) == {*written, "r.json"}
    first_lines = [line for line in said.out.splitlines() if ": written," in line]
    assert [line.split(":")[0] for line in first_lines] == written
    assert said.out.splitlines()[-1] == (
        f"{len(names)} sketches: {len(names) - 1} written, 1 refused; "
        "1 error, 6 warnings, 1 advice"
    )
    report = json.loads(Path("r.json").read_bytes())
    assert [score["written_to"] for score in report["scores"]] == written
    assert report["refused"] == [
        {
            "sketch": "torn.xml",
            "message": "torn.xml: the file ends too early; export it again",
        }
    ]


@pytest.mark.usefixtures("verb")
def test_several_reports_are_told_apart(rewriter: Command) -> None:
    said = rewriter("expand", "quay.xml", "b.xml", "--layout", "Vn I")
    assert said.out == (
        as_text(PLAIN, "quay-strings.musicxml", copy="as-made/quay-strings.musicxml.mxl")
        + "\n"
        + as_text(PLAIN, "b-strings.musicxml", copy="as-made/b-strings.musicxml.mxl")
        + "\n2 sketches: 2 written; no findings\n"
    )


@pytest.mark.usefixtures("verb")
def test_ctrl_c_leaves_nothing(rewriter: Command) -> None:
    said = rewriter("expand", "quay.xml", "stop.xml", "b.xml", "--layout", "Vn I")
    assert said == (
        130,
        "",
        "\nrewriter: interrupted; nothing is half written\n",
    )
    assert everything_here() == {}


@pytest.mark.usefixtures("verb")
@pytest.mark.parametrize(
    ("args", "line"),
    [
        (
            ["expand"],
            "rewriter expand: no sketch is named; "
            "name one, or list the cues in a rewriter.toml",
        ),
        (
            ["expand", "a.xml", "--layout", "Vn I", "--plan", "arc"],
            "rewriter expand: --layout and --plan exclude each other; name one of them",
        ),
        (
            ["expand", "a.xml", "--layout", "Vn I", "--key", "G", "--by", "m3"],
            "rewriter expand: --key and --by exclude each other; name one of them",
        ),
        (
            ["expand", "a.xml", "--layout", "Vn I", "--key", "G", "--up", "--down"],
            "rewriter expand: --up and --down exclude each other; name one of them",
        ),
        (
            ["expand", "a.xml", "--layout", "Vn I", "--up"],
            "rewriter expand: --up says which way, but not where to; add --key or --by",
        ),
        (
            ["expand", "a.xml", "b.xml", "--layout", "Vn I", "--key", "Q"],
            '--key: "Q" is no key; write it like G, F# minor, Bb or Es-Dur',
        ),
        (
            ["expand", "a.xml", "b.xml", "--layout", "Vn I", "--by", "M5"],
            '--by: "M5" is no interval; write it like m3, up P4 or down M2',
        ),
        (
            ["expand", "a.xml", "b.xml", "--layout", "Vn I", "--by", "up M3", "--down"],
            '--by: "up M3" goes up, and down is asked for; keep one of the two',
        ),
        (
            ["expand", "a.xml", "--layout", " "],
            "--layout: stack, character 2: the stack is empty; write it like Vn I / Vc",
        ),
        (
            ["expand", "a.xml", "--plan", "harbour-ark"],
            '--plan: there is no plan called "harbour-ark"; did you mean harbour-arc?',
        ),
        (
            ["expand", "a.xml", "--layout", "broad.toml"],
            "broad.toml: there is no such file",
        ),
        (
            ["expand", "a b.xml", "a-b.xml", "--layout", "Vn I", "--parts", "p"],
            "rewriter expand: the parts of a b.xml and a-b.xml would have the same names; "
            "expand them one by one, with another folder for --parts",
        ),
        (
            ["expand", "a.xml", "--layout", "Vn I", "--parts", "p", "--cue-notes", "-1"],
            "rewriter expand: --cue-notes needs bars of rest; "
            "name a number of bars, 0 for none",
        ),
        (
            ["expand", "a.xml", "--layout", "Vn I", "--report", "r.mxl"],
            "r.mxl: this is the name of a score or a rule file; "
            "name another file with --report",
        ),
        (
            ["expand", "a.xml", "--layout", "Vn I", "--cue-notes", "4"],
            "rewriter expand: --cue-notes is about parts; name a folder for them with --parts",
        ),
        (
            ["expand", "a.xml", "b.xml", "--layout", "Vn I", "-o", "c.xml"],
            "rewriter expand: -o names one file for 2 sketches; name a folder with --out-dir",
        ),
        (
            ["expand", "a.xml", "--layout", "Vn I", "-o", "c.xml", "--out-dir", "d"],
            "rewriter expand: -o and --out-dir exclude each other; name one of them",
        ),
        (
            ["expand", "a/x.xml", "b/x.mxl", "--layout", "Vn I"],
            "rewriter expand: a/x.xml and b/x.mxl would both become x-strings.musicxml; "
            "expand them one by one with -o",
        ),
        (
            ["expand", "a.xml", "--layuot", "Vn I"],
            "rewriter expand: there is no option --layuot; did you mean --layout?",
        ),
        (
            ["expand", "a.xml", "--layout", "Vn I", "--chords", "topp"],
            'rewriter expand: --chords: "topp" is none of top, divide; did you mean top?',
        ),
        (
            ["expand", "a.xml", "--layout"],
            "rewriter expand: --layout needs a value; see rewriter expand --help",
        ),
        (
            ["expand", "a.xml", "--force=1"],
            "rewriter expand: --force takes no value; see rewriter expand --help",
        ),
        (
            ["expand", "a.xml", "b.xml", "--layout", "Vn I / Vnx"],
            '--layout: stack, character 8: no section is called "Vnx" in symphonic; '
            "did you mean Vn II?",
        ),
        (
            ["expand", "a.xml", "b.xml", "--layout", "Vn I", "--ensemble", "symphonc"],
            '--ensemble: there is no ensemble called "symphonc"; did you mean symphonic?',
        ),
        (
            ["expand", "a.xml", "--layout", "Vn I", "-o", "a.pdf"],
            "a.pdf: no score has such a name; let it end in .musicxml, .xml or .mxl",
        ),
        (
            ["expand", "a.xml", "--layout", "Vn I", "-o", "no/where.xml"],
            'no/where.xml: there is no folder "no" to write it in; make it first',
        ),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(
    rewriter: Command, args: list[str], line: str
) -> None:
    assert rewriter(*args) == (2, "", f"{line}\n")
    assert everything_here() == {}


@pytest.mark.usefixtures("verb")
def test_an_edited_score_is_replaced_only_by_force(rewriter: Command) -> None:
    edited = SCORE.replace(b"<identification>", b"<identification >")
    Path("quay-strings.musicxml").write_bytes(edited)
    said = rewriter("expand", "quay.xml", "--layout", "Vn I")
    assert said == (
        2,
        "",
        "quay-strings.musicxml: changed since the tool wrote it; "
        "name another file with -o, or replace it with --force\n",
    )
    assert everything_here() == {"quay-strings.musicxml": edited}
    assert rewriter("expand", "quay.xml", "--layout", "Vn I", "--force").status == 0
    assert everything_here() == {"quay-strings.musicxml": SCORE}


@pytest.mark.usefixtures("verb")
def test_the_folder_for_the_scores_may_not_be_a_file(rewriter: Command) -> None:
    Path("strings").write_bytes(b"")
    said = rewriter("expand", "quay.xml", "--layout", "Vn I", "--out-dir", "strings/new")
    assert said == (2, "", "strings: this is no folder; name another with --out-dir\n")


@pytest.mark.usefixtures("verb")
class TestReportFile:
    def test_an_older_report_is_replaced(self, rewriter: Command) -> None:
        for name in ("lantern", "quay"):
            rewriter("expand", f"{name}.xml", "--layout", "Vn I", "--report", "r.json")
        (score,) = json.loads(Path("r.json").read_bytes())["scores"]
        assert score["report"]["sketch"] == "quay.xml"

    def test_any_other_file_only_by_force(self, rewriter: Command) -> None:
        Path("r.json").write_bytes(b'{"mine": true}')
        args = ("expand", "quay.xml", "--layout", "Vn I", "--report", "r.json")
        assert rewriter(*args) == (
            2,
            "",
            "r.json: this file is no report of this tool; "
            "name another file with --report, or replace it with --force\n",
        )
        assert everything_here() == {"r.json": b'{"mine": true}'}
        assert rewriter(*args, "--force").status == 0

    @pytest.mark.parametrize(
        ("before", "after"),
        [
            (b'"refused": []', b'"refused": [], "note": "keep this"'),
            (b'"digest"', b'"note": "keep this", "digest"'),
            (b"0.1.0", b"0.1.1"),
            (b"}\n", b"}\n\n"),
            (b'"format": "rewriter report 1"', b'"format":  "rewriter report 1"'),
        ],
    )
    def test_one_that_somebody_has_written_into_stays(
        self, rewriter: Command, before: bytes, after: bytes
    ) -> None:
        args = ("expand", "quay.xml", "--layout", "Vn I", "--report", "r.json")
        assert rewriter(*args).status == 0
        edited = Path("r.json").read_bytes().replace(before, after)
        Path("r.json").write_bytes(edited)
        assert rewriter(*args) == (
            2,
            "",
            "r.json: this report was changed since the tool wrote it; "
            "name another file with --report, or replace it with --force\n",
        )
        assert Path("r.json").read_bytes() == edited
        assert rewriter(*args, "--force").status == 0
        assert rewriter(*args).status == 0

    @pytest.mark.parametrize("name", ["quay.xml", "./quay.xml", "out.xml", "broad.toml"])
    def test_neither_input_nor_score_even_by_force(self, rewriter: Command, name: str) -> None:
        for file in ("quay.xml", "broad.toml"):
            Path(file).write_bytes(b"mine")
        said = rewriter(
            *("expand", "quay.xml", "--layout", "broad.toml", "-o", "out.xml"),
            *("--report", name, "--force"),
        )
        assert said == (
            2,
            "",
            f"{Path(name)}: this is an input or a score of the same command; "
            "name another file with --report\n",
        )
        assert everything_here() == {"quay.xml": b"mine", "broad.toml": b"mine"}

    def test_a_folder_that_is_not_there(self, rewriter: Command) -> None:
        said = rewriter("expand", "quay.xml", "--layout", "Vn I", "--report", "no/r.json")
        assert said == (
            2,
            "",
            "no/r.json: there is no such folder; "
            "make it first, or name another file with --report\n",
        )
        assert everything_here() == {}


def test_the_help(rewriter: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    said = rewriter("expand", "--help")
    assert (said.status, said.err) == (0, "")
    assert said.out.isascii()
    assert max(len(line) for line in said.out.splitlines()) <= 80
    assert said.out == snapshot("""\
Usage: rewriter expand [OPTIONS] [SKETCH...]

  Write full string scores from sketches.

  Each SKETCH is a MusicXML file (.musicxml, .xml, .mxl): a short score with
  the tune on one staff. The layout says which section plays the tune in which
  octave: in a stack, "/" goes down an octave and "+" shares one. A plan does
  so passage by passage. The report goes to the terminal. "-" is stdin, and
  with -o stdout. Where music21 is installed, a sketch may be ABC, Humdrum,
  MEI or MIDI too.

  Without SKETCH, the cues that a rewriter.toml lists, here or in a folder
  above, are brought up to date.

Layout:
  --layout NAME|FILE|STACK  Who plays the tune in which octave: a shipped
                            layout, a .toml file, or a stack, for the whole
                            cue.
  --plan NAME|FILE          Passages of the cue, each with its layout. With
                            neither, stacks such as [Vn I / Vla] written above
                            the tune say who plays.
  --ensemble NAME|FILE      The sections, how many play in each, their ranges.
                            [default: symphonic]
  --out-of-range HOW        Notes out of a section's range: keep them and
                            report, octave (move them), rest, or refuse to
                            write.  [default: as the layout says, else keep]
  --registers SET           Which octave a stack without an octave word goes
                            to: singing, where its sections sing, or measured,
                            where the symphonic repertory puts its tunes.
                            [default: as the ensemble says, else singing]

Reading the sketch:
  --tune WHICH              The tune: Flute, P2, or "P1 staff 2 voice 1".
                            [default: the only part, or the one named like a
                            tune]
  --chords top|divide       Chords in the tune: the top note, or the section
                            divided note by note.  [default: as the layout
                            says, else top]

Key:
  --key KEY                 Move the cue to this tonic, mode kept: G, Bb, F#,
                            fis-Moll, Es-Dur.
  --by INTERVAL             Or move it by an interval: "up m3", "down M2".
  --up                      Go up to the key.  [default: the nearer way]
  --down                    Go down to the key.

What the score keeps:
  --keep-sketch             Put the whole sketch under the strings.
  --keep-lyrics             Keep the lyrics of the tune.
  --keep-harmony            Keep the chord symbols.
  --language en|it|de|fr    Names of the sections.  [default: as the ensemble
                            says]

Output:
  -o, --out FILE            The score, .musicxml, .xml or .mxl (zipped).
                            [default: SKETCH-strings.musicxml, here]
  --out-dir DIR             The folder for the scores; made if it is not
                            there.
  --parts DIR               Write a part for each section too, into this
                            folder; made if it is not there.
  --cue-notes BARS          Cue notes in the parts, before an entry after so
                            many bars of rest or more.  [default: none]
  --no-tacet                No part for a section that plays nothing.
                            [default: a part that says TACET]
  --remove-earlier          Remove parts that an earlier run has written there
                            for sections that have none now, unless somebody
                            has changed them.  [default: name them]
  --report FILE.json        Write the report as JSON too; what its fields mean
                            stands in rules/schemas/report.json beside the
                            tool.
  --no-copy                 Keep no zipped copy of what was made in a folder
                            as-made beside it. By the copy it is seen later
                            what was changed by hand.
  --dry-run                 Report all the same, and write nothing.
  --force                   Replace files that are not the tool's own last
                            output.
  -q, --quiet               Print no report; only what could not be done.

Help:
  -h, --help                Show this message and exit.

Examples:
  The usual spacing of a broad tune, the octave chosen by the tool:
    rewriter expand lantern.musicxml --layout "Vn I / Vn II + Vla / Vc"

  The top line fixed an octave above the tune; a zipped score:
    rewriter expand lantern.mxl --layout "Vn I 8va / Vla / Vc" -o strings.mxl

  A whole cue by its plan, a tone lower, with parts for the stands:
    rewriter expand lantern.mxl --plan arc.toml --by "down M2" --parts parts

  A rule file, a studio-sized section, the tune named:
    rewriter expand lantern.mxl --layout broad.toml --ensemble studio --tune P2

  All cues that rewriter.toml lists, those up to date in one row each:
    rewriter expand

  Every sketch of a folder, with the reports for another program:
    rewriter expand *.mxl --layout broad.toml --out-dir out --report out.json
""")
