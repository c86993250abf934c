"""Names of sketches and scores: patterns, what is no sketch, curly quotes, every system."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.running import MadeUpVerb, Said, rewriter, verb

__all__ = ["rewriter", "verb"]

Command = Callable[..., Said]
EXPAND = ("expand", "--layout", "Vn I", "--out-dir", "out")


@pytest.fixture
def one_core(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("rewriter.cli.batch._cores", lambda: 1)  # the verb is made up here only


@pytest.mark.usefixtures("one_core")
@pytest.mark.parametrize(
    ("named", "found"),
    [
        (["*.xml"], ["a.xml", "b.xml"]),
        (["b.xml", "*.xml"], ["b.xml", "a.xml"]),
        (["[b-c].xml", "in/?.xml"], ["b.xml", "in/d.xml"]),
        (["c[1].xml"], ["c[1].xml"]),  # a file of just that name
    ],
)
def test_patterns_become_files(
    rewriter: Command,
    verb: MadeUpVerb,
    named: list[str],
    found: list[str],
) -> None:
    for name in ("a.xml", "b.xml", "c[1].xml", "in/d.xml"):
        Path(name).parent.mkdir(exist_ok=True)
        Path(name).touch()
    if named == ["*.xml"] or "*.xml" in named:
        Path("c[1].xml").unlink()
    assert rewriter(*EXPAND, *named).status == 0
    assert [str(call["sketch"]) for call in verb.calls] == found


@pytest.mark.usefixtures("verb")
def test_a_pattern_that_matches_nothing(rewriter: Command) -> None:
    said = rewriter(*EXPAND, "*.mxl")
    assert said == (2, "", "*.mxl: no file matches this pattern; look at its folder\n")


@pytest.mark.usefixtures("verb")
@pytest.mark.parametrize("quote", ["\u201c", "\u201e", "\u201d", "\u00ab"])
def test_curly_quotes_on_the_command_line(
    rewriter: Command,
    quote: str,
) -> None:
    said = rewriter("expand", "a.xml", "--layout", f"{quote}Vn", "I", "/", "Vc\u201d")
    assert said == (
        2,
        "",
        f'rewriter: {quote}Vn begins with a curly quote; write straight quotes, "..."\n',
    )


@pytest.mark.usefixtures("verb")
def test_curly_quotes_within_straight_ones_and_in_names_of_files(
    rewriter: Command,
) -> None:
    Path("\u201cDusk.xml").touch()
    said = rewriter("expand", "\u201cDusk.xml", "--layout", "\u201cVn I\u201d / Vc")
    assert (said.status, said.err) == (0, "")


@pytest.mark.usefixtures("verb")
def test_a_score_has_a_name_that_every_system_allows(rewriter: Command) -> None:
    Path("Who: goes there?.xml").touch()
    assert rewriter("expand", "Who: goes there?.xml", "--layout", "Vn I").status == 0
    assert Path("Who- goes there-strings.musicxml").is_file()


@pytest.mark.parametrize(
    ("args", "line"),
    [
        (["Vn I / Vc"], '"Vn I / Vc" is a stack, not a sketch; name it with --layout'),
        (["four-levels"], '"four-levels" is a layout, not a sketch; name it with --layout'),
        (["harbour-arc"], '"harbour-arc" is a plan, not a sketch; name it with --plan'),
        (["chamber"], '"chamber" is an ensemble, not a sketch; name it with --ensemble'),
        (
            ["x.toml"],
            "x.toml: this is a rule file, not a sketch; name it with --layout or --plan",
        ),
        (
            ["--layout", "a.musicxml"],
            '--layout: "a.musicxml" is the name of a score, not a layout; '
            "name a layout, a .toml file or a stack",
        ),
        (
            ["-layout", "Vn I"],
            "rewriter expand: there is no option -layout; did you mean --layout?",
        ),
        (
            ["-layot=Vn I"],
            "rewriter expand: there is no option -layot; did you mean --layout?",
        ),
        (["-l", "Vn I"], "rewriter expand: there is no option -l; see rewriter expand --help"),
    ],
)
def test_what_is_no_sketch(rewriter: Command, args: list[str], line: str) -> None:
    Path("lantern.xml").touch()
    assert rewriter("expand", "lantern.xml", *args) == (2, "", f"{line}\n")


@pytest.mark.parametrize(
    ("name", "remedy"),
    [
        ("lantern", "did you mean lantern.musicxml?"),
        ("lantren.musicxml", "did you mean lantern.musicxml?"),
        ("quay.musicxml", "look at its name and folder"),
    ],
)
def test_a_sketch_that_is_nearly_there(rewriter: Command, name: str, remedy: str) -> None:
    Path("lantern.musicxml").touch()
    said = rewriter("look", name)
    assert said == (2, "", f"{name}: there is no such file; {remedy}\n")
