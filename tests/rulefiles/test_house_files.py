"""House files: what they mean, and what their faults are told."""

from pathlib import Path
from shutil import copytree
from typing import Annotated

import msgspec
import pytest
from msgspec import Meta

from rewriter.problems import Refused
from rewriter.rulefiles.house_files import load_house_rules
from rewriter.rulefiles.houses import Doubling, HouseRules, RuleSettings, Scoring, Where
from rewriter.rulefiles.layouts import Handover
from rewriter.rulefiles.loading import load_ensemble
from rewriter.rulefiles.plans import Point


class Nothing(msgspec.Struct):
    """A rule with nothing to set."""


class Balance(msgspec.Struct):
    """A rule with parameters of several kinds."""

    most: Annotated[float, Meta(ge=0, le=1, description="share of the players")] = 0.75
    bars: Annotated[int, Meta(ge=1, description="bars")] = 4
    fewest: Annotated[int, Meta(le=9, description="levels")] = 3
    may: tuple[str, ...] = ()


SHIPPED = Path(__file__).parents[2] / "rules"

KINDS = {"octave-balance": Balance, "tired-bows": Nothing, "cold-fingers": Nothing}


@pytest.fixture(autouse=True)
def elsewhere(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def house(text: str, name: str = "ours.toml", ensemble: str = "") -> HouseRules:
    Path(name).parent.mkdir(parents=True, exist_ok=True)
    Path(name).write_text(text, encoding="utf-8")
    return load_house_rules(name, KINDS, load_ensemble(ensemble) if ensemble else None)


def faults(text: str, name: str = "ours.toml") -> list[str]:
    with pytest.raises(Refused) as refused:
        house(text, name)
    return str(refused.value).splitlines()


def scoring(text: str) -> Scoring:
    (only,) = house(f"[[scoring]]\n{text}\n").scoring
    return only


def test_nothing_is_a_house_too():
    assert house("") == HouseRules(name="ours", file="ours.toml", title="ours")


def test_a_whole_house():
    read = house("""
title = "Our recordings"
summary = "Nothing is left to the session."
why = "Minutes in the studio are dear."
source = "made up"
language = "it"
ensemble = "chamber"
leading = "Violini I"
[rule.octave-balance]
severity = "error"
most = 1
may = ["Vc"]
[rule.tired-bows]
severity = "off"
[rule.cold-fingers]
""")
    assert (read.name, read.title, read.summary, read.why) == (
        "ours",
        "Our recordings",
        "Nothing is left to the session.",
        "Minutes in the studio are dear.",
    )
    assert (read.language, read.leading) == ("it", "Vn I")
    assert read.ensemble == load_ensemble("chamber")
    assert read.rules == {
        "octave-balance": RuleSettings("error", {"most": 1.0, "may": ("Vc",)}),
        "tired-bows": RuleSettings("off", {}),
        "cold-fingers": RuleSettings(None, {}),
    }


def test_what_follows_overrides_what_is_extended_setting_by_setting():
    house(
        'title = "Deep"\nlanguage = "fr"\nleading = "Vc"\nensemble = "studio"\n'
        "[rule.octave-balance]\nmost = 0.5\nbars = 2\nseverity = 'error'\n"
        "[rule.tired-bows]\nseverity = 'off'\n[[scoring]]\nlevels_at_least = 1\n",
        "rules/house/deep.toml",
    )
    house(
        'extends = "deep"\nleading = "Vla"\n[rule.tired-bows]\nseverity = "advice"\n', "m.toml"
    )
    read = house(
        'extends = "m.toml"\n[rule.octave-balance]\nmost = 0.6\nseverity = "warning"\n'
        "[[scoring]]\nlevels_at_least = 2\n"
    )
    assert (read.title, read.language, read.leading) == ("ours", "fr", "Vla")
    assert read.ensemble == load_ensemble("studio")
    assert read.rules == {
        "octave-balance": RuleSettings("warning", {"most": 0.6, "bars": 2}),
        "tired-bows": RuleSettings("advice", {}),
    }
    assert [one.levels_at_least for one in read.scoring] == [1, 2]
    assert [one.place for one in read.scoring] == [
        "rules/house/deep.toml:11: scoring[1]",
        "ours.toml:5: scoring[1]",
    ]


def test_a_file_beside_it_is_extended_and_wanted():
    house("[rule.tired-bows]\nseverity = 'off'\n", "deep/base.toml")
    Path("deep/broad.toml").write_text('stack = "Vn I / Vc"\n')
    read = house('extends = "base.toml"\n[[scoring]]\nwant = "broad.toml"\n', "deep/ours.toml")
    assert read.rules == {"tired-bows": RuleSettings("off", {})}
    assert read.scoring[0].want.stack.text == "Vn I / Vc"


def test_a_house_may_extend_the_shipped_one_of_its_name(monkeypatch, tmp_path):
    shipped = tmp_path / "shipped"
    copytree(SHIPPED / "ensembles", shipped / "ensembles")
    monkeypatch.setattr("rewriter.rulefiles.shelf.shipped_folder", lambda: shipped)
    house("[rule.tired-bows]\nseverity = 'off'\n", "shipped/house/studio.toml")
    house('extends = "studio"\n', "rules/house/studio.toml")
    read = load_house_rules("studio", KINDS, None)
    assert read.rules == {"tired-bows": RuleSettings("off", {})}


def test_where_it_holds():
    read = scoring(
        'where = { bars = "5-8", statement = 2, dynamic_at_least = "mf", '
        'dynamic_at_most = "f", tune_in = "cellos", above = "A4", below = "C6" }\n'
        "levels_at_least = 2"
    )
    assert read.where == Where(
        start=Point("named", "5"),
        stop=Point("named", "8"),
        by_bars=True,
        statement=2,
        dynamic_at_least="mf",
        dynamic_at_most="f",
        tune_in="Vc",
        above=69,
        below=84,
    )
    read = scoring('where = { from = "A", to = "end", statement = "last" }\nlevels_at_most = 2')
    assert read.where == Where(start=Point("named", "A"), stop=Point("end"), statement="last")
    assert scoring("levels_at_most = 2").where == Where()


def test_what_is_asked():
    read = scoring(
        'want = "Vn I / Vn II + Vla / Vc"\nlevels_at_least = 2\nlevels_at_most = 3\n'
        'broader_than = "previous statement"\nmust_play = ["Vn", "Vn I"]\n'
        'must_not_play = ["Db"]\ndouble = "Vla with Vn II"\nreplace = true\n'
        'handover = { section = "Vc", above = "A4", to = "Vla", leave = true }\n'
        'severity = "error"\nwhy = "the last one is for everybody"'
    )
    assert read == Scoring(
        place="ours.toml:1: scoring[1]",
        where=Where(),
        want=read.want,
        levels_at_least=2,
        levels_at_most=3,
        broader=True,
        must_play=("Vn I", "Vn II"),
        must_not_play=("Db",),
        double=Doubling(("Vla",), "Vn II"),
        handover=("Vc", Handover(above=69, below=None, to="Vla", leave=True)),
        replace=True,
        severity="error",
        why="the last one is for everybody",
    )
    assert read.want.stack.text == "Vn I / Vn II + Vla / Vc"


def test_scoring_has_the_sections_of_the_house_or_of_who_asks():
    text = 'ensemble = "chamber"\n[[scoring]]\nwant = "desks 1-3 Vc"\n'
    assert faults(text) == ["ours.toml:3: scoring[1].want: Vc has no desk 3; it has 2"]
    assert house(text, ensemble="symphonic").ensemble == load_ensemble("chamber")


def test_what_is_off_is_left_out():
    assert house("[[scoring]]\nlevels_at_least = 2\nseverity = 'off'\n").scoring == ()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('titel = "x"', "ours.toml:1: titel: no such setting here; did you mean title?"),
        (
            'language = "es"',
            'ours.toml:1: language: "es" is none of en, it, de, fr',
        ),
        (
            'ensemble = "chamer"',
            'ours.toml:1: ensemble: there is no ensemble called "chamer"; '
            "did you mean chamber?",
        ),
        (
            'leading = "Vnn I"',
            'ours.toml:1: leading: no section is called "Vnn I" in symphonic; '
            "did you mean Vn I?",
        ),
        (
            'leading = "Violins"',
            'ours.toml:1: leading: "Violins" means Vn I and Vn II; name one of them',
        ),
        (
            "[rule.octave_balanc]\nmost = 1",
            'ours.toml:1: rule.octave_balanc: no rule is called "octave_balanc"; '
            "did you mean octave-balance?",
        ),
        (
            "[rule.xyzzy]",
            'ours.toml:1: rule.xyzzy: no rule is called "xyzzy"; '
            "rewriter rules house lists them",
        ),
        (
            "rule = 3",
            "ours.toml:1: rule: 3 stands where a block of settings is wanted",
        ),
        (
            "[rule]\ntired-bows = 3",
            "ours.toml:2: rule.tired-bows: 3 stands where a block of settings is wanted",
        ),
        (
            '[rule]\ntired-bows = "off"',
            "ours.toml:2: rule.tired-bows: a severity stands where a block of settings is "
            'wanted; write rule.tired-bows.severity = "off"',
        ),
        (
            "[rule.tired-bows]\nseverity = false",
            "ours.toml:2: rule.tired-bows.severity: false is none of "
            "error, warning, advice, off",
        ),
        (
            "[rule.tired-bows]\nseverity = off",
            'ours.toml:2: this text has no quotes; write severity = "off"',
        ),
        (
            "[rule.tired-bows]\nseverity = 'warn'",
            'ours.toml:2: rule.tired-bows.severity: "warn" is none of error, warning, advice, '
            "off; did you mean warning?",
        ),
        (
            "[rule.tired-bows]\nmost = 2",
            "ours.toml:2: rule.tired-bows.most: no such setting here; allowed are severity",
        ),
        (
            "[rule.octave-balance]\nmst = 2",
            "ours.toml:2: rule.octave-balance.mst: no such setting here; did you mean most?",
        ),
        (
            "[rule.octave-balance]\nmost = 2",
            "ours.toml:2: rule.octave-balance.most: 2 is outside 0 to 1",
        ),
        (
            "[rule.octave-balance]\nbars = 0",
            "ours.toml:2: rule.octave-balance.bars: 0 is less than 1",
        ),
        (
            "[rule.octave-balance]\nfewest = 10",
            "ours.toml:2: rule.octave-balance.fewest: 10 is more than 9",
        ),
        (
            "[rule.octave-balance]\nbars = '4'",
            'ours.toml:2: rule.octave-balance.bars: "4" stands where a whole number is wanted; '
            "write 4, without quotes",
        ),
        (
            "[rule.octave-balance]\nmay = 'Vc'",
            'ours.toml:2: rule.octave-balance.may: "Vc" stands where a list is wanted; '
            'write ["Vc"]',
        ),
        (
            "[scoring]\nlevels_at_least = 2",
            "ours.toml:1: scoring: a block of settings stands where a list is wanted; "
            "write [[scoring]], with two brackets",
        ),
        (
            'stack = "Vn I / Vc"',
            "ours.toml: this is a layout, not a house file; name it with --layout",
        ),
    ],
)
def test_faults(text: str, said: str):
    assert faults(text) == [said]


ASKED = (
    "want, levels_at_least, levels_at_most, broader_than, must_play, must_not_play, double, "
    "handover"
)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", f"1: scoring[1]: nothing is asked for here; write one of {ASKED}"),
        (
            "must_play = []",
            f"1: scoring[1]: nothing is asked for here; write one of {ASKED}",
        ),
        (
            "levels_at_least = 2\nreplace = true",
            "3: scoring[1].replace: nothing here is written, so nothing can be replaced; "
            "add want, double or handover",
        ),
        (
            "levels_at_least = 3\nlevels_at_most = 2",
            "1: scoring[1]: no layout has at least 3 levels and at most 2",
        ),
        ("levels_at_least = 0", "2: scoring[1].levels_at_least: 0 is outside 1 to 9"),
        (
            'broader_than = "previous"',
            '2: scoring[1].broader_than: "previous" is none of previous statement; '
            "did you mean previous statement?",
        ),
        (
            'must_play = ["Vla", "Vlx"]',
            '2: scoring[1].must_play[2]: no section is called "Vlx" in symphonic; '
            "did you mean Vla?",
        ),
        (
            'must_play = ["Vla"]\nmust_not_play = ["Viola"]',
            "1: scoring[1]: Vla must play and must not; keep one of the two",
        ),
        (
            'double = "Vla and Vc"',
            '2: scoring[1].double: "Vla and Vc" does not say who doubles whom; '
            'write it like "Vla with Vn II"',
        ),
        (
            'double = "Vn with Vn I"',
            "2: scoring[1].double: Vn I would double itself; name another section",
        ),
        (
            'double = "Vla with Vn"',
            '2: scoring[1].double: "Vn" means Vn I and Vn II; name one of them',
        ),
        (
            'double = "Vla with Vnn II"',
            '2: scoring[1].double: no section is called "Vnn II" in symphonic; '
            "did you mean Vn II?",
        ),
        (
            'handover = { section = "Vc", above = "A4" }',
            '2: scoring[1].handover.to: this setting is missing; write to = "..."',
        ),
        (
            'handover = { above = "A4", to = "Vla" }',
            '2: scoring[1].handover.section: this setting is missing; write section = "..."',
        ),
        (
            'handover = { section = "Vc", to = "Vla" }',
            "2: scoring[1].handover: there is no limit; "
            "say above or below which pitch the line passes on",
        ),
        (
            'handover = { section = "Vc", above = "A4", to = "Vc" }',
            "2: scoring[1].handover.to: Vc would hand over to itself; name another section",
        ),
        (
            'want = "violins-in-octave"',
            '2: scoring[1].want: no layout is called "violins-in-octave", nor is it a stack: '
            'no section is called "violins-in-octave" in symphonic; '
            "did you mean the layout violins-in-octaves?",
        ),
        (
            'want = "harbour-arc"',
            '2: scoring[1].want: "harbour-arc" is a plan, not a layout; '
            "want is a layout or a stack",
        ),
        (
            'want = "Vn I / Vc"\nlevels_at_least = 3',
            "2: scoring[1].want: it has 2 levels, and at least 3 are asked for",
        ),
        (
            'want = "Vn I / Vc"\nlevels_at_most = 1',
            "2: scoring[1].want: it has 2 levels, and at most 1 are asked for",
        ),
        (
            'want = "Vn I / Vc"\nmust_play = ["Vla"]',
            "2: scoring[1].want: Vla must play, and plays nothing in it",
        ),
        (
            'want = "Vn I / Vc"\nmust_not_play = ["Vc"]',
            "2: scoring[1].want: Vc must not play, and plays in it",
        ),
        (
            'levels_at_least = 2\nwhere = { bar = "1" }',
            "3: scoring[1].where.bar: no such setting here; did you mean bars?",
        ),
        (
            'levels_at_least = 2\nwhere = { from = "A" }',
            '3: scoring[1].where: nothing says which bars this is; write bars = "1-8", '
            "or both from and to",
        ),
        (
            'levels_at_least = 2\nwhere = { bars = "1-8", to = "B" }',
            "3: scoring[1].where: bars and from or to stand together; keep one of the two",
        ),
        (
            'levels_at_least = 2\nwhere = { bars = "1 to 8" }',
            '3: scoring[1].where.bars: "1 to 8" names no bars; write it like "1-8" or "5", '
            "or from and to for marks and beats",
        ),
        (
            'levels_at_least = 2\nwhere = { statement = "lst" }',
            '3: scoring[1].where.statement: "lst" is neither a whole number nor last; '
            "did you mean last?",
        ),
        (
            "levels_at_least = 2\nwhere = { statement = 0 }",
            "3: scoring[1].where.statement: 0 is outside 1 to 999",
        ),
        (
            'levels_at_least = 2\nwhere = { dynamic_at_least = "sfz" }',
            '3: scoring[1].where.dynamic_at_least: "sfz" is no dynamic; write it like mf or pp',
        ),
        (
            'levels_at_least = 2\nwhere = { dynamic_at_least = "f", dynamic_at_most = "mp" }',
            "3: scoring[1].where: no dynamic is at least f and at most mp",
        ),
        (
            'levels_at_least = 2\nwhere = { above = "A4", below = "Bb4" }',
            "3: scoring[1].where: no note is above A4 and below Bb4",
        ),
        (
            'levels_at_least = 2\nwhere = { tune_in = "Vn" }',
            '3: scoring[1].where.tune_in: "Vn" means Vn I and Vn II; name one of them',
        ),
    ],
)
def test_faults_of_scoring(text: str, said: str):
    assert faults(f"[[scoring]]\n{text}\n") == [f"ours.toml:{said}"]


def test_all_faults_at_once_in_the_order_of_the_file():
    assert faults(
        '[rule.tired-bows]\nsevrity = "off"\n[rule.tired]\n[[scoring]]\nlevels = 2\n'
        'titel = "x"\n'
    ) == [
        "ours.toml:2: rule.tired-bows.sevrity: no such setting here; did you mean severity?",
        'ours.toml:3: rule.tired: no rule is called "tired"; did you mean tired-bows?',
        "ours.toml:5: scoring[1].levels: no such setting here; did you mean levels_at_most?",
        "ours.toml:6: scoring[1].titel: no such setting here; allowed are where, want, "
        "levels_at_least, levels_at_most, broader_than, must_play, must_not_play, double, "
        "handover, replace, severity, why",
    ]


def test_faults_of_a_file_that_is_extended_are_told_in_its_name():
    house("[rule.tired-bows]\n", "base.toml")
    Path("base.toml").write_text("[rule.tired-bow]\n")
    assert faults('extends = "base.toml"\n') == [
        'base.toml:1: rule.tired-bow: no rule is called "tired-bow"; did you mean tired-bows?'
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'extends = "rewritin"',
            'ours.toml:1: extends: there is no house file called "rewritin"; '
            "did you mean rewriting?",
        ),
        (
            'extends = "none.toml"',
            "ours.toml:1: extends: none.toml: there is no such file",
        ),
        ('extends = "ours.toml"', 'ours.toml:1: extends: "ours.toml" extends itself'),
        (
            'extends = "chamber"',
            'ours.toml:1: extends: "chamber" is an ensemble, not a house file; '
            "name it as ensemble",
        ),
    ],
)
def test_what_cannot_be_extended(text: str, said: str):
    house("", "rules/house/rewriting.toml")
    assert faults(text) == [said]


def test_a_circle_is_refused():
    house("", "rules/house/two.toml")
    house('extends = "two"\n', "rules/house/one.toml")
    Path("rules/house/two.toml").write_text('extends = "one"\n')
    with pytest.raises(Refused) as caught:
        load_house_rules("one", KINDS, None)
    assert str(caught.value) == 'rules/house/two.toml:1: extends: "one" extends itself'


def test_no_such_house():
    with pytest.raises(Refused) as caught:
        load_house_rules("xyzzy", KINDS, None)
    assert str(caught.value).startswith('there is no house file called "xyzzy"; there are ')
