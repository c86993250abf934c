"""``rewriter differences``: what it says of two scores, whole."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

import rewriter as package
from rewriter.musicxml.saving import PLACEHOLDER, digest_said, stamp
from rewriter.reporting.schema import report_schema
from tests.cli.running import Said, rewriter
from tests.comparing.resaving import resaved
from tests.shorthand import sketch

__all__ = ["rewriter"]

Command = Callable[..., Said]

WAS = sketch(
    '3/4 pickup bar=0 C5q | p (D5h E5q) | "dolce" F5q^accent G5q A5q | B5h. | C6h.',
    others={"Oboe": "pickup bar=0 rq | p A4h. | A4h. | clef=alto B4h. | C5h."},
    title="Ferry",
)
NOW = sketch(
    "3/4 pickup bar=0 C5q | f (D5h E5q | F5q) G5q Ab5q | key=-3 B5h. | C6h.",
    others={"Oboe": "pickup bar=0 rq | f A4h. | A4h. | key=-3 B4q rh | C5h."},
    title="Ferries",
)

SAID = """\
was.musicxml, now.musicxml: 7 differences

  Lost        articulation (1), clef (1), words (1): the second score has none anywhere, as when
              a program drops them

Heading
    score  title was Ferry, is Ferries

Bar 1
  beat 1  Flute, Oboe  dynamic was p, is f
  beat 1  Flute        slur was to beat 3, is to bar 2, beat 1

Bar 2
  beat 3  Flute  pitch was A5, is Ab5

Bar 3
  beat 1  every part  key 3 flats is new
  beat 1  Oboe        length was 3 quarters, is 1 quarter
"""


@pytest.fixture
def both(tmp_path: Path) -> None:
    (tmp_path / "was.musicxml").write_bytes(WAS)
    (tmp_path / "now.musicxml").write_bytes(NOW)


def with_pages(data: bytes, *numbers: int) -> bytes:
    """The score, a new page at some printed bars, in its first part."""
    for number in numbers:
        opening = b'<measure number="%d">' % number
        data = data.replace(opening, opening + b'<print new-page="yes"/>', 1)
    return data


@pytest.mark.usefixtures("both")
def test_the_whole_text(rewriter: Command) -> None:
    assert rewriter("differences", "was.musicxml", "now.musicxml") == (1, SAID, "")


def test_the_same_music_saved_again(rewriter: Command, tmp_path: Path) -> None:
    (tmp_path / "a.musicxml").write_bytes(WAS)
    (tmp_path / "b.musicxml").write_bytes(resaved(WAS, 5))
    said = rewriter("differences", "a.musicxml", "b.musicxml")
    assert said == (0, "a.musicxml, b.musicxml: the same music\n", "")


@pytest.mark.usefixtures("both")
def test_bars_of_parts_where_no_page_is_told(rewriter: Command) -> None:
    said = rewriter("differences", "was.musicxml", "now.musicxml", "--changed-pages")
    assert said.status == 1
    assert said.out.splitlines()[-2:] == ["  Flute  bars 1-4", "  Oboe   bars 1, 3-4"]


def test_pages(rewriter: Command, tmp_path: Path) -> None:
    """A clef that is gone is seen on every page behind it."""
    was = sketch("4/4 C5w | D5w | clef=alto E5w | F5w | clef=treble C5w | G5w^accent")
    now = sketch("4/4 C5w | D5w | E5w | F5w | C5w | G5w^accent")
    (tmp_path / "was.musicxml").write_bytes(with_pages(was, 2, 3, 4, 5, 6))
    (tmp_path / "now.musicxml").write_bytes(with_pages(now, 2, 3, 4, 5, 6))
    said = rewriter("differences", "was.musicxml", "now.musicxml", "--changed-pages")
    assert said.out.splitlines()[-3:] == ["  Pages       3, 4, 5 of 6", "", "  Flute  bars 3-5"]


def test_pages_that_hold_other_bars(rewriter: Command, tmp_path: Path) -> None:
    music = sketch("4/4 C5w | D5w | E5w | F5w | C5w | G5w")
    (tmp_path / "was.musicxml").write_bytes(with_pages(music, 3, 5))
    (tmp_path / "now.musicxml").write_bytes(with_pages(music, 4, 5))
    asked = ("differences", "was.musicxml", "now.musicxml", "--changed-pages")
    assert rewriter(*asked).status == 0
    said = rewriter(*asked, "--keep-breaks")
    assert said.status == 1
    assert "  Pages       1, 2 of 3\n" in said.out


@pytest.mark.usefixtures("both")
def test_the_json_satisfies_its_schema(rewriter: Command) -> None:
    said = rewriter("differences", "was.musicxml", "now.musicxml", "--json")
    found = json.loads(said.out)
    assert said.status == 1
    Draft202012Validator(report_schema("differences")).validate(found)
    assert found["lost"] == [
        {"kind": "articulation", "number": 1},
        {"kind": "clef", "number": 1},
        {"kind": "words", "number": 1},
    ]
    slur = next(each for each in found["differences"] if each["kind"] == "slur")
    assert slur["part"] == "Flute"
    assert (slur["was"]["place"]["bar"], slur["was"]["place"]["beat"]) == ("1", "1")
    assert (slur["now"]["until"]["bar"], slur["now"]["until"]["bar_counted"]) == ("2", 3)
    assert [each["bars"] for each in found["changed_parts"]] == [["1-4"], ["1", "3-4"]]


def test_bars_that_were_cut_or_put_in(rewriter: Command, tmp_path: Path) -> None:
    was = "4/4 C5q D5 E5 F5 | G5h A5h | B4w | C5h D5h | E5w | G4q A4 B4 C5 | D5w"
    now = (
        "4/4 C5q D5 E5 F5 | G5h A5h | F5w | A4q B4 A4 G4 | B4w | C5h D5h^accent "
        "| E5w | G4q A4 B4 C5 | D5w"
    )
    (tmp_path / "was.musicxml").write_bytes(sketch(was))
    (tmp_path / "now.musicxml").write_bytes(sketch(now))
    assert rewriter("differences", "was.musicxml", "now.musicxml").out == (
        "was.musicxml, now.musicxml: 3 differences\n\n"
        "Bar 3 of the second score\n    every part  bar is new\n\n"
        "Bar 4 of the second score\n    every part  bar is new\n\n"
        "Bar 4 (now 6)\n  beat 3  Flute  articulation accent is new\n"
    )
    said = rewriter("differences", "was.musicxml", "now.musicxml", "--changed-pages")
    assert said.out.splitlines()[-1] == "  Flute  bars 3-4, 6"
    said = rewriter("differences", "now.musicxml", "was.musicxml")
    assert said.out.splitlines()[-5:] == [
        "Bar 3",
        "    every part  bar is gone",
        "",
        "Bar 4",
        "    every part  bar is gone",
    ]


def test_one_that_claims_to_be_the_tools_own(rewriter: Command, tmp_path: Path) -> None:
    """A forged digest: the bars are cut without a parse, and cannot be read."""
    made = package.expand(sketch("4/4 C5w | D5w"), "Vn I").score
    torn = made.replace(b"</clef>", b"<clef>")
    torn = torn.replace(digest_said(torn).encode(), PLACEHOLDER.encode())
    (tmp_path / "a.musicxml").write_bytes(made)
    (tmp_path / "b.musicxml").write_bytes(stamp(torn))
    said = rewriter("differences", "a.musicxml", "b.musicxml")
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith("b.musicxml: ")
    assert said.err.count("\n") == 1


def test_parts_of_one_name_and_parts_alone(rewriter: Command, tmp_path: Path) -> None:
    one = sketch("4/4 C5w", tune="Horn", others={"Horn ": "4/4 E5w", "Tuba": "4/4 C3w"})
    two = sketch("4/4 C5w", tune="Horn", others={"Horn ": "4/4 F5w"})
    (tmp_path / "a.musicxml").write_bytes(one)
    (tmp_path / "b.musicxml").write_bytes(two)
    said = rewriter("differences", "a.musicxml", "b.musicxml")
    assert said.out.splitlines()[2:] == [
        "Heading",
        "    Tuba  part Tuba is gone",
        "",
        "Bar 1",
        "  beat 1  Horn (P2)  pitch was E5, is F5",
    ]


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (
            ("-", "-"),
            'rewriter differences: the scores are both "-"; name a file for one of them\n',
        ),
        (
            ("was.musicxml", "now.musicxml", "--json", "--changed-pages"),
            "rewriter differences: --changed-pages and --json exclude each other; "
            "name one of them\n",
        ),
        (
            ("was.musicxml", "none.xml"),
            "none.xml: there is no such file; look at its name and folder\n",
        ),
    ],
)
@pytest.mark.usefixtures("both")
def test_what_cannot_be_compared(rewriter: Command, args: tuple[str, ...], said: str) -> None:
    assert rewriter("differences", *args) == (2, "", said)
