"""Plans, keys and parts through the command, with the real verb and sketches made up here."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from inline_snapshot import snapshot

from tests.cli.running import Said, rewriter, without_copies
from tests.shorthand import sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]

QUAY = sketch(
    "4/4 key=-1,major mark=A | p (C5h D5h | E5h F5h) | C5h D5h | E5h F5h | "
    "mark=B f G5w | A5w |",
    tune="Melody",
    others={"Piano": "4/4 key=-1 | F2w | F2w | Bb2w | C3w | C3w | F2w |"},
)
ARC = """\
title = "The quay, at dawn"

[[passage]]
bars = "1-2"
stack = "Vn I / Vla"

[[passage]]
bars = "3-4"
stack = "Vn I / Vla"

[[passage]]
from = "B"
to = "end"
layout = "over-the-bass.toml"
by = "up M2"
"""
OVER_THE_BASS = """\
title = "Two levels over the bass"
stack = "Vn I 8va / Vc"

[[with]]
from = "Piano"
to = "Db loco"
"""


@pytest.fixture(autouse=True)
def files(rewriter: Command) -> None:  # noqa: ARG001 - it moves to the empty folder
    Path("quay.musicxml").write_bytes(QUAY)
    Path("arc.toml").write_text(ARC, "utf-8")
    Path("over-the-bass.toml").write_text(OVER_THE_BASS, "utf-8")


def made() -> list[str]:
    given = {"quay.musicxml", "arc.toml", "over-the-bass.toml", "other.musicxml"}
    found = {str(path) for path in Path().rglob("*") if path.is_file()}
    return sorted(without_copies(found - given))


def test_a_plan_with_its_parts(rewriter: Command) -> None:
    said = rewriter(
        *("expand", "quay.musicxml", "--plan", "arc.toml"),
        *("--parts", "stands/new", "--cue-notes", "2"),
    )
    assert (said.status, said.err) == (0, "")
    assert said.out == snapshot("""\
quay-strings.musicxml: written, 6 bars, 5 sections; 1 warning, 1 advice

  Tune        "Melody" (P1): named like a tune
  Ensemble    Symphony orchestra
  Plan        The quay, at dawn

  Line  Players  Octave  Sings  Usual     Compass   Plays  Registers

Bars 1-2  Vn I loco / Vla
          every line inside its range; the weakest level, Vla at 0.99, is the best of 3 octaves
          runner-up an octave higher: Vn I would be 0.70 (50% in its high register)
          strength soft
          by singing registers; by measured ones in the same octave
  Vn I       16  loco     1.00  65%, 84%  C5 to F5         soprano 100%
  Vla        12  8vb      0.99  44%, 66%  C4 to F4         tenor 25%, alto 75%

Bars 3-4  Vn I loco / Vla, as before
  Vn I       16  loco     1.00  65%, 84%  C5 to F5         soprano 100%
  Vla        12  8vb      0.99  44%, 66%  C4 to F4         tenor 25%, alto 75%

Bars 5-6  Vn I 8va / Vc, up M2 (G major)
          Two levels over the bass
          strength full
  Vn I       16  8va      0.40  0%, 0%    A6 to B6         top 100%
  Vc         10  loco    -0.20  0%, 0%    A5 to B5         soprano 50%, above the range 50%
  Db          8  loco     0.00            G2 to D3  Piano  all 100%

  Tacet       Vn II
  Kept        dynamics 2, rehearsal marks 2, slurs 1
  Copy        as-made/quay-strings.musicxml.mxl

Warnings (1)
  Vc, bar 6, beat 1: B5 is above the range (C2 to A5); let the section leader judge
      [beyond-range]

Advice (1)
  Vn I, bar 5: the line leaps from loco to 8va of the tune  [octave-leap]

Parts (5)
  stands/new/quay-Violins-I.musicxml:     6 bars
  stands/new/quay-Violins-II.musicxml:    6 bars, tacet
  stands/new/quay-Violas.musicxml:        6 bars, 1 multi-bar rest
  stands/new/quay-Violoncellos.musicxml:  6 bars, 1 multi-bar rest, cue notes before 1 entry
  stands/new/quay-Double-Basses.musicxml: 6 bars, 1 multi-bar rest, cue notes before 1 entry
  copies as made: stands/new/as-made
""")
    assert made() == snapshot(
        [
            "quay-strings.musicxml",
            "stands/new/quay-Double-Basses.musicxml",
            "stands/new/quay-Violas.musicxml",
            "stands/new/quay-Violins-I.musicxml",
            "stands/new/quay-Violins-II.musicxml",
            "stands/new/quay-Violoncellos.musicxml",
        ]
    )


def test_the_report_file_has_the_plan_and_the_parts(rewriter: Command) -> None:
    rewriter(
        *("expand", "quay.musicxml", "--plan", "arc.toml", "--key", "Eb", "--up"),
        *("--parts", ".", "--report", "r.json"),
    )
    (score,) = json.loads(Path("r.json").read_bytes())["scores"]
    written = {part["written_to"] for part in score["parts"]}
    assert {*written, score["written_to"], "r.json"} == set(made())
    assert score["parts"][1] == snapshot(
        {
            "name": "Violins II",
            "written_to": "quay-Violins-II.musicxml",
            "bars": 6,
            "tacet": True,
            "multi_bar_rests": 1,
            "cue_notes": 0,
            "replaced": False,
            "copy": "as-made/quay-Violins-II.musicxml.mxl",
        }
    )
    report = score["report"]
    assert report["plan"] == "The quay, at dawn"
    assert [(one["bars"], one["by"], one["key"]) for one in report["passages"]] == [
        ("1-2", "up m7", "Eb major"),
        ("3-4", "up m7", "Eb major"),
        ("5-6", "up P8", "F major"),
    ]
    assert [
        (line["section"], line["passage"], line["is_tune"]) for line in report["lines"]
    ] == [
        ("Vn I", 0, True),
        ("Vla", 0, True),
        ("Vn I", 1, True),
        ("Vla", 1, True),
        ("Vn I", 2, True),
        ("Vc", 2, True),
        ("Db", 2, False),
    ]


def test_a_passage_that_begins_within_a_bar_says_where_and_has_its_own_key(
    rewriter: Command,
) -> None:
    Path("turn.toml").write_text(
        '[[passage]]\nfrom = "start"\nto = "4 beat 2"\nstack = "Vc loco"\n'
        '[[passage]]\nfrom = "4 beat 3"\nto = "end"\nstack = "Vla loco"\nby = "up M2"\n',
        "utf-8",
    )
    said = rewriter("expand", "quay.musicxml", "--plan", "turn.toml", "--report", "r.json")
    assert (said.status, said.err) == (0, "")
    assert "\nBars 4-6  Vla loco, from beat 3, up M2 (G major)\n" in said.out
    (score,) = json.loads(Path("r.json").read_bytes())["scores"]
    first, second = score["report"]["passages"]
    assert (first["from_beat"], first["to_beat"], first["key"]) == ("", "3", "F major")
    assert (second["from_beat"], second["to_beat"], second["key"]) == ("3", "", "G major")


def test_the_stacks_above_the_tune_are_a_plan(rewriter: Command) -> None:
    text = '4/4 | "[Vn I / Vla]" C5w | D5w | "[Vc loco]" E4w | C4w |'
    Path("quay.musicxml").write_bytes(sketch(text, tune="Melody"))
    said = rewriter("expand", "quay.musicxml")
    assert (said.status, said.err) == (0, "")
    assert said.out == snapshot("""\
quay-strings.musicxml: written, 4 bars, 5 sections; no findings

  Tune        "Melody" (P1): the only part
  Ensemble    Symphony orchestra
  Plan        written in the sketch, above the tune

  Line  Players  Octave  Sings  Usual     Compass   Registers

Bars 1-2  Vn I loco / Vla
          every line inside its range; every level good, Vla at 0.90 the weakest, in 2 octaves,
          this one nearest to the tune
          runner-up an octave higher: as good, but farther from the tune
          strength plain
          by singing registers; by measured ones in the same octave
  Vn I       16  loco     1.00  71%, 92%  C5 to D5  soprano 100%
  Vla        12  8vb      0.90  49%, 81%  C4 to D4  tenor 50%, alto 50%

Bars 3-4  Vc loco
          strength plain
  Vc         10  loco     1.00  10%, 27%  C4 to E4  tenor 100%

  Tacet       Vn II, Db
  Copy        as-made/quay-strings.musicxml.mxl
""")


def test_without_layout_plan_or_stacks_nobody_plays(rewriter: Command) -> None:
    assert rewriter("expand", "quay.musicxml") == (
        2,
        "",
        "quay.musicxml: nothing says who plays; name a layout or a plan, "
        "or write a stack such as [Vn I / Vla] above the tune\n",
    )
    assert made() == []


PASSAGE = '[[passage]]\nbars = "1-2"\nstack = "Vc"\n'


@pytest.mark.parametrize(
    ("plan", "line"),
    [
        (
            '[[passage]]\nbars = "1-9"\nstack = "Vc"',
            "bad.toml: passage 1: there is no bar 9; bars go from 1 to 6",
        ),
        (
            PASSAGE + '[[passage]]\nbars = "2-6"\nstack = "Vla"',
            "bad.toml: passage 2: bars 2-6 overlap passage 1 (bars 1-2); "
            "let one end where the other begins",
        ),
        (
            PASSAGE + '[[passage]]\nfrom = "3"\nto = "Q"\nstack = "Vla"',
            'bad.toml: passage 2: there is no bar or mark "Q"; '
            "bars go from 1 to 6, rehearsal marks are A, B",
        ),
        (
            PASSAGE + '[[passage]]\nbars = "5-3"\nstack = "Vla"',
            "bad.toml: passage 2: it ends before it begins; look at its bars",
        ),
        (
            PASSAGE + '[[passage]]\nbars = "3-4"\nlayout = "cellos-alon"',
            'bad.toml:6: passage[2].layout: no layout is called "cellos-alon", nor is it a '
            'stack: no section is called "cellos-alon" in symphonic; '
            "did you mean the layout cellos-alone?",
        ),
        (
            PASSAGE + '[[passage]]\nbars = "3-4"\nlayout = "gone.toml"',
            "bad.toml:6: passage[2].layout: gone.toml: there is no such file",
        ),
        (
            PASSAGE + '[[passage]]\nbars = "3-4"\nstack = "Vla / Vx"',
            'bad.toml:6: passage[2].stack: no section is called "Vx" in symphonic; '
            "there are Vn I, Vn II, Vla, Vc, Db",
        ),
        (
            PASSAGE + 'octav = "8va"',
            "bad.toml:4: passage[1].octav: no such setting here; did you mean octave?",
        ),
        (
            PASSAGE + 'key = "Q"',
            'bad.toml:4: passage[1].key: "Q" is no key; '
            "write it like G, F# minor, Bb or Es-Dur",
        ),
        (
            "[[passage]]\nbars = 1-2\n",
            'bad.toml:2: this text has no quotes; write bars = "1-2"',
        ),
        (
            'title = "None"\n',
            "bad.toml:1: passage: there is no passage; add [[passage]] with bars and layout",
        ),
    ],
)
def test_a_plan_that_cannot_be_carried_out_is_one_line(
    rewriter: Command, plan: str, line: str
) -> None:
    Path("bad.toml").write_text(plan, "utf-8")
    said = rewriter("expand", "quay.musicxml", "--plan", "bad.toml", "--parts", "stands")
    assert said == (2, "", f"{line}\n")
    assert made() == ["bad.toml"]


def test_a_fault_in_a_plan_is_said_once_for_all_sketches(rewriter: Command) -> None:
    Path("bad.toml").write_text(PASSAGE + 'octav = "8va"', "utf-8")
    said = rewriter("expand", "quay.musicxml", "other.musicxml", "--plan", "bad.toml")
    assert said == (
        2,
        "",
        "bad.toml:4: passage[1].octav: no such setting here; did you mean octave?\n",
    )


def test_a_plan_that_suits_one_sketch_names_the_one_it_does_not_suit(rewriter: Command) -> None:
    Path("other.musicxml").write_bytes(sketch("4/4 | C5w |", tune="Melody"))
    Path("bad.toml").write_text(PASSAGE, "utf-8")
    said = rewriter("expand", "quay.musicxml", "other.musicxml", "--plan", "bad.toml")
    assert (said.status, said.err) == (
        2,
        "other.musicxml: bad.toml: passage 1: there is no bar 2; bars go from 1 to 1\n",
    )
    assert made() == ["bad.toml", "quay-strings.musicxml"]


ONE = ("expand", "quay.musicxml", "--layout", "Vn I / Vc")


class TestParts:
    def test_they_are_named_after_the_score(self, rewriter: Command) -> None:
        assert rewriter(*ONE, "-o", "lower.musicxml", "--parts", "stands").status == 0
        first = made()
        assert first[1].startswith("stands/lower-")
        assert rewriter("parts", "lower.musicxml", "--out-dir", "stands").status == 0
        assert made() == first

    def test_one_that_somebody_has_edited_keeps_everything_from_being_written(
        self, rewriter: Command
    ) -> None:
        rewriter(*ONE, "--parts", "stands", "-o", "quay.mxl")
        edited = Path("stands/quay-Violas.musicxml")
        edited.write_bytes(edited.read_bytes().replace(b"TACET", b"tacet"))
        before = {name: Path(name).read_bytes() for name in made()}
        said = rewriter("expand", "quay.musicxml", "--layout", "Vn I", "--parts", "stands")
        assert said == (
            2,
            "",
            "stands/quay-Violas.musicxml: changed since the tool wrote it; "
            "name another folder with --parts, or replace it with --force\n",
        )
        assert {name: Path(name).read_bytes() for name in made()} == before
        assert rewriter(*ONE, "--parts", "stands", "--force").status == 0

    def test_their_folder_may_not_be_a_file(self, rewriter: Command) -> None:
        said = rewriter(*ONE, "--parts", "arc.toml/stands")
        assert said == (2, "", "arc.toml: this is no folder; name another with --parts\n")
        assert made() == []

    def test_none_may_take_the_place_of_the_score(self, rewriter: Command) -> None:
        named = 'names.en = { singular = "Double Bass", plural = "Double Basses"'
        symphonic = rewriter("rules", "ensembles", "symphonic").out
        assert named in symphonic
        odd = symphonic.replace(named, named.replace("Double Basses", "strings"))
        Path("odd.toml").write_text(odd, "utf-8")
        said = rewriter(*ONE, "--ensemble", "odd.toml", "--parts", ".")
        assert said == (
            2,
            "",
            "quay-strings.musicxml: the part of strings would have the name of the score; "
            "name another file with -o\n",
        )
        assert made() == ["odd.toml"]
