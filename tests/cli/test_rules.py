import re
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from inline_snapshot import snapshot

from rewriter.checking.rates import Measured, Rate
from rewriter.checking.rules import RULES
from rewriter.rulefiles.shelf import names, shipped_folder
from rewriter.verbs.rules import RuleEntry, Rules
from tests.cli.running import Said, rewriter, start

__all__ = ["rewriter"]

Command = Callable[..., Said]

ENTRIES = (
    RuleEntry(
        kind="ensembles",
        name="quayside",
        shipped=True,
        title="Quayside band",
        summary="Eleven strings that have played together for so long that nobody counts them.",
        source="made up",
    ),
    RuleEntry(
        kind="layouts",
        name="violins-over-violas-over-cellos-over-everybody-who-is-left",
        shipped=True,
        title="Tower",
        summary="As high as it gets.",
        stack="Vn I / Vn II / Vla / Vc / Db",
        source="made up",
    ),
    RuleEntry(
        kind="layouts",
        name="wide",
        shipped=False,
        title="Wide",
        summary="An empty octave between.",
        stack="Vn I // Vc",
        character="Hollow.",
        source="made up",
    ),
    RuleEntry(kind="layouts", name="torn", shipped=False, fault="Expected '=' (at line 3)"),
)


@pytest.fixture
def made_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """A shelf made up for the test."""

    def rules(kind: str | None, name: str | None) -> Rules:
        assert name is None
        return Rules(entries=tuple(entry for entry in ENTRIES if kind in {None, entry.kind}))

    monkeypatch.setattr("rewriter.verbs.rules.rules", rules)


@pytest.mark.usefixtures("made_up")
def test_everything_in_short(rewriter: Command) -> None:
    said = rewriter("rules")
    assert (said.status, said.err) == (0, "")
    assert said.out == snapshot("""\
ensembles: the sections, how many play in each, what they can play
  quayside  Eleven strings that have played together for so long that nobody
            counts them.

layouts: which section plays the tune in which octave
  torn                          cannot be read: Expected '=' (at line 3)  (this
                                project's)
  Vn I // Vc                    wide  (this project's)
  Vn I / Vn II / Vla / Vc / Db
      violins-over-violas-over-cellos-over-everybody-who-is-left

One kind, with titles and sources:  rewriter rules layouts
One file, to read or to copy:       rewriter rules three-levels-middle-doubled
""")


@pytest.mark.usefixtures("made_up")
def test_one_kind_with_titles_and_sources(rewriter: Command) -> None:
    said = rewriter("rules", "layouts")
    assert (said.status, said.err) == (0, "")
    assert said.out == snapshot("""\
  torn  (this project's)
      cannot be read: Expected '=' (at line 3)

Two levels

  wide  (this project's)
      Vn I // Vc
      Wide. An empty octave between. Hollow.
      made up

Five levels

  violins-over-violas-over-cellos-over-everybody-who-is-left
      Vn I / Vn II / Vla / Vc / Db
      Tower. As high as it gets.
      made up
""")


@pytest.mark.usefixtures("made_up")
def test_a_kind_without_rules(rewriter: Command) -> None:
    assert rewriter("rules", "house") == (0, "there are none\n", "")


def test_the_rules_of_the_house_and_how_grave_they_are(rewriter: Command) -> None:
    said = rewriter("rules", "house")
    assert (said.status, said.err) == (0, "")
    lines = said.out.splitlines()
    assert max(len(line) for line in lines) <= 80
    for wanted in (
        r"  beyond-range +warning  mends certain  note beyond the range",
        r"  beyond-extreme +error    mends certain  note beyond the extreme",
    ):
        assert any(re.fullmatch(wanted, line) for line in lines)
    assert {rule.id for rule in RULES} <= set(said.out.split())


@pytest.mark.parametrize("args", [["house", "long-at-the-top"], ["Long-At-The-Top"]])
def test_one_rule_with_its_reasons(
    rewriter: Command, args: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    measured = Measured((Rate("ten songs", 400, 6),), read=6, right=5)
    monkeypatch.setattr("rewriter.checking.rates.measured_of", lambda _: measured)
    assert rewriter("rules", *args).out == snapshot("""\
long-at-the-top: long in the highest register

  Why         At the top of its range a section tires, and so does who listens.
  Instead     Give the section relief, or hand the line over.
  Source      common practice, no source
  Severity    advice, where the house does not say otherwise
  Houses      concert: most = 8; recording: warning, most = 2; strict: warning
  Mends       never
  Finds       1.50 in 100 bars of ten songs (400 bars)
              of 6 of these that were read, 5 were faults
  Set         most = 4: bars a section may stay in its highest register
""")


def test_house_files_are_listed_before_the_rules_they_set(rewriter: Command) -> None:
    own = Path("rules/house/ours.toml")
    own.parent.mkdir(parents=True)
    text = 'title = "Ours"\nsummary = "Few."\nwhy = "No time."\nextends = "strict"\n'
    own.write_text(text, encoding="utf-8")
    files, rules = rewriter("rules", "house").out.split("\n\nRules\n\n")
    assert "  ours  (this project's)\n      Ours. Few. No time.\n\n  quartet\n" in files
    assert len(rules.splitlines()) >= len(RULES)
    assert rewriter("rules", "house", "ours").out == text


def test_a_house_file_that_is_shipped_is_given_as_it_stands(rewriter: Command) -> None:
    text = (shipped_folder() / "house" / "recording.toml").read_text(encoding="utf-8")
    for args in (["house", "recording"], ["recording"]):
        assert rewriter("rules", *args) == (0, text, "")


def test_a_rule_tells_what_the_houses_make_of_it_faulty_ones_left_out(
    rewriter: Command,
) -> None:
    folder = Path("rules/house")
    folder.mkdir(parents=True)
    text = '[rule.divided-in-octaves]\nmay = ["strings.viola"]\n'
    (folder / "aaa.toml").write_text(text, encoding="utf-8")
    (folder / "bbb.toml").write_text(f"{text}mst = 3\n", encoding="utf-8")
    page = rewriter("rules", "house", "divided-in-octaves").out.splitlines()
    assert '  Houses      aaa: may = ["strings.viola"]; quartet: off; strict: warning' in page


@pytest.mark.parametrize("args", [["rules"], ["rules", "layouts"], ["rules", "ensembles"]])
def test_what_is_shipped_fits_80_columns_and_nothing_is_left_out(
    rewriter: Command, args: list[str]
) -> None:
    lines = rewriter(*args).out.splitlines()
    assert max(len(line) for line in lines) <= 80
    kinds = args[1:] or ["ensembles", "layouts"]
    said = {word for line in lines for word in line.split()}
    assert {name for kind in kinds for name in names(kind)} <= said  # type: ignore[arg-type]  # kinds


@pytest.mark.parametrize("args", [["layouts", "cellos-alone"], ["layout", "cellos-alone"]])
def test_one_file_is_given_as_it_stands(rewriter: Command, args: list[str]) -> None:
    said = rewriter("rules", *args)
    file = shipped_folder() / "layouts" / "cellos-alone.toml"
    assert said == (0, file.read_text(encoding="utf-8"), "")
    assert rewriter("rules", "cellos-alone") == said


def test_a_file_of_the_project_comes_first(rewriter: Command) -> None:
    own = Path("rules/layouts/cellos-alone.toml")
    own.parent.mkdir(parents=True)
    own.write_text('title = "Ours"\nstack = "half Vc"\n', encoding="utf-8")
    assert rewriter("rules", "cellos-alone").out == own.read_text(encoding="utf-8")
    listed = rewriter("rules", "layouts").out.splitlines()
    at = listed.index("  cellos-alone  (this project's)")
    assert listed[at + 1 : at + 3] == ["      half Vc", "      Ours."]


@pytest.mark.parametrize(
    ("args", "line"),
    [
        (["layot"], 'there is no kind of rule called "layot"; did you mean layouts?'),
        (
            ["layouts", "cello-alone"],
            'there is no layout called "cello-alone"; did you mean cellos-alone?',
        ),
        (
            ["house", "beyond-rang"],
            'there is no rule and no house file called "beyond-rang"; '
            "did you mean beyond-range?",
        ),
        (
            ["house", "xyzzy"],
            'there is no rule and no house file called "xyzzy"; '
            "rewriter rules house lists them",
        ),
        (
            ["a", "b", "c"],
            "rewriter rules: got unexpected extra argument (c); see rewriter rules --help",
        ),
    ],
)
def test_what_is_not_there(rewriter: Command, args: list[str], line: str) -> None:
    assert rewriter("rules", *args) == (2, "", f"{line}\n")


@pytest.mark.parametrize(
    ("words", "given"),
    [
        ("rewriter rules la", ["plain,layouts"]),
        ("rewriter rules layouts cellos-al", ["plain,cellos-alone"]),
        ("rewriter rules ensembles cellos-al", []),
        ("rewriter rules cellos-al", ["plain,cellos-alone"]),
        ("rewriter rules house beyond-r", ["plain,beyond-range"]),
        ("rewriter expand x.xml --layout cellos-al", ["file,cellos-al", "plain,cellos-alone"]),
        ("rewriter expand x.xml --ensemble stu", ["file,stu", "plain,studio"]),
        ("rewriter expand x.xml --plan harbour-a", ["file,harbour-a", "plain,harbour-arc"]),
        ("rewriter check x.xml --house rec", ["file,rec", "plain,recording"]),
        ("rewriter check x.xml --ensemble stu", ["file,stu", "plain,studio"]),
        ("rewriter expand x.xml --chords d", ["plain,divide"]),
    ],
)
def test_the_shell_is_given_names(words: str, given: list[str]) -> None:
    ended = start(
        *(sys.executable, "-m", "rewriter"),
        _REWRITER_COMPLETE="bash_complete",
        COMP_WORDS=words,
        COMP_CWORD=str(len(words.split()) - 1),
    )
    assert ended.stdout.decode().split() == given
