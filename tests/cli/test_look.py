"""``rewriter look``: what it says of a sketch, whole."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.running import Said, rewriter
from tests.shorthand import sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]

ODD = sketch(
    '3/4 key=-2,minor pickup bar=0 tempo=96 "dolce" G4q '
    '| mark=A "[Vn I / Vla]" Bb4h. '
    '| "[Vn II]" A4q mark=B "Slow, calm" "[here?]" G4h '
    '| bar=2 mark=A 5/8 "pizz." D4q. [F#4 A4]q',
    others={
        "Piano": (
            'rq | G3q Bb3q D4q | "pizz." R | bar=2 D3q. rq',
            'G2q | R | R | bar=2 C2q. "dolce" D2q',
        )
    },
    title="Small talk",
)

ODD_SAID = """\
odd.musicxml: 4 bars, 3 voices

  Title       Small talk
  Tune        "Flute" (P1): the only part on one staff
  Bars        0-2, 2; the first is a pickup of 1 beat; not only once, so that a plan says 2(1)
              or 2(2)
  Marks       A(1) bar 1; B bar 2 beat 2; A(2) bar 2
  Metre       3/4; bar 2 5/8
  Key         G minor
  Tempo       bar 0 quarter = 96; bar 2 beat 2 Slow, calm
  Layouts     bar 1 [Vn I / Vla]; bar 2 [Vn II]
  Words       dolce (bars 0 and 2); [here?] (bar 2); pizz. (bar 2)

  Voice               Part   Notes  Lowest         Highest
  P1                  Flute      7  D4      bar 2  Bb4      bar 1  the tune
  P2 staff 1 voice 1  Piano      4  D3      bar 2  D4       bar 1
  P2 staff 2 voice 2  Piano      3  C2      bar 2  G2       bar 0
"""

ODD_PLAN = """\
# a plan for odd.musicxml; a layout is a name, a file or a stack
title = "Small talk"

[[passage]]  # bar 0, G minor; the tune on G4
from = "start"
to = "A(1)"
layout = ""

[[passage]]  # bar 1, G minor; the tune on Bb4
from = "A(1)"
to = "1"
layout = "Vn I / Vla"

[[passage]]  # bar 2, G minor; the tune on A4
from = "2(1)"
to = "B"
layout = "Vn II"

[[passage]]  # bar 2, G minor; the tune on G4
from = "B"
to = "A(2)"
layout = "Vn II"

[[passage]]  # bar 2, G minor; the tune from D4 to A4
from = "A(2)"
to = "end"
layout = "Vn II"
"""

TWO = sketch("4/4 C4w | D4w", tune="Oboe", others={"Horn": "transpose=-4,-7 E4w | F4w"})

TWO_SAID = """\
two.musicxml: 2 bars, 2 voices

  Tune        not plain: no part is named like a tune; choose one with --tune
  Bars        1-2
  Metre       4/4
  Key         C

  Voice  Part  Notes  Lowest         Highest
  P1     Oboe      2  C4      bar 1  D4       bar 2
  P2     Horn      2  A3      bar 1  Bb3      bar 2
"""

TWO_PLAN = """\
# a plan for two.musicxml; a layout is a name, a file or a stack

[[passage]]  # bars 1-2, C
from = "start"
to = "end"
layout = ""
"""


@pytest.fixture(autouse=True)
def _sketches(tmp_path: Path) -> None:
    """Two sketches in the folder where the command is run."""
    (tmp_path / "odd.musicxml").write_bytes(ODD)
    (tmp_path / "two.musicxml").write_bytes(TWO)


def test_all_that_a_sketch_says(rewriter: Command) -> None:
    assert rewriter("look", "odd.musicxml") == (0, ODD_SAID, "")


def test_the_skeleton_of_a_plan(rewriter: Command) -> None:
    assert rewriter("look", "odd.musicxml", "--plan") == (0, ODD_PLAN, "")


def test_where_nothing_is_plainly_the_tune(rewriter: Command) -> None:
    assert rewriter("look", "two.musicxml") == (0, TWO_SAID, "")
    assert rewriter("look", "two.musicxml", "--plan") == (0, TWO_PLAN, "")


def test_another_tune_is_named(rewriter: Command) -> None:
    said = rewriter("look", "two.musicxml", "--tune", "P2")
    rows = said.out.splitlines()
    assert rows[2] == '  Tune        "Horn" (P2): as asked for'
    assert rows[-2:] == [
        "  P1     Oboe      2  C4      bar 1  D4       bar 2",
        "  P2     Horn      2  A3      bar 1  Bb3      bar 2  the tune",
    ]


def test_as_json_it_says_the_same(rewriter: Command) -> None:
    told = json.loads(rewriter("look", "odd.musicxml", "--json").out)
    assert told["plan"] == ODD_PLAN
    assert told["marks"] == [
        {"text": "A", "bar": "1"},
        {"text": "B", "bar": "2", "beat": "2"},
        {"text": "A", "bar": "2"},
    ]
    assert [voice["choice"] for voice in told["voices"] if voice["is_tune"]] == ["P1"]


@pytest.mark.parametrize(
    ("args", "line"),
    [
        ([], "rewriter look: SKETCH is missing; see rewriter look --help"),
        (
            ["odd.musicxml", "--plan", "--json"],
            "rewriter look: --plan and --json exclude each other; name one of them",
        ),
        (["gone.xml"], "gone.xml: there is no such file; look at its name and folder"),
        (
            ["odd.musicxml", "--tune", "Bell"],
            'odd.musicxml: no part is called "Bell"; choose one with --tune: '
            '"Flute" (P1), "Piano" (P2)',
        ),
        (
            ["odd.musicxml", "--ensemble", "chambre"],
            'there is no ensemble called "chambre"; did you mean chamber?',
        ),
    ],
)
def test_what_cannot_be_is_one_line(rewriter: Command, args: list[str], line: str) -> None:
    assert rewriter("look", *args) == (2, "", f"{line}\n")


def test_a_sketch_without_notes(rewriter: Command) -> None:
    Path("still.musicxml").write_bytes(sketch("4/4 R", others={"Horn": "R"}))
    assert rewriter("look", "still.musicxml") == (
        2,
        "",
        'still.musicxml: there is no note in "Flute" (P1), "Horn" (P2); look at the export\n',
    )


def test_an_alteration_that_cannot_be_is_not_spelled(rewriter: Command) -> None:
    data = sketch("4/4 C4w", others={"Horn": "E#4w"})
    Path("far.musicxml").write_bytes(data.replace(b"<alter>1<", b"<alter>99999999<"))
    said = rewriter("look", "far.musicxml", "--tune", "P1")
    assert said.out.splitlines()[-1].startswith("  P2     Horn       1  G8333337  bar 1")
