"""rewriter.toml: what it means, and every fault in it at once."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rewriter.problems import Refused
from rewriter.rulefiles.project_files import load_defaults, load_project
from rewriter.rulefiles.projects import Project, ProjectCue, find_project

WHOLE = """\
ensemble = "studio"
language = "it"
registers = "measured"
chords = "divide"
out_of_range = "octave"
keep_sketch = true
cue_notes = 4
out_dir = "scores"
parts = "parts"

[[cue]]
sketch = "sketches/thaw.musicxml"
plan = "harbour-arc"

[[cue]]
sketch = "sketches/ferry.mxl"
layout = "Vn I 8va / Vc"
ensemble = "chamber"
tune = "P2"
by = "m3"
down = true
keep_sketch = false
cue_notes = 0
copy = false
out = "ferry.mxl"
"""

SETTINGS = {
    "language": "it",
    "registers": "measured",
    "chords": "divide",
    "out_of_range": "octave",
}


@pytest.fixture(autouse=True)
def elsewhere(tmp_path, monkeypatch):
    """An empty folder, in which nothing above is a project."""
    monkeypatch.chdir(tmp_path)


def written(text: str, file: str = "rewriter.toml") -> Path:
    path = Path(file)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    return path


def faults(text: str) -> list[str]:
    with pytest.raises(Refused) as refused:
        load_project(written(text))
    return str(refused.value).splitlines()


def test_all_there_is_to_say():
    assert load_project(written(WHOLE)) == Project(
        Path("rewriter.toml"),
        {**SETTINGS, "ensemble": "studio", "keep_sketch": True, "cue_notes": 4},
        (
            ProjectCue(
                Path("sketches/thaw.musicxml"),
                Path("scores/thaw-strings.musicxml"),
                Path("parts"),
                4,
                True,  # noqa: FBT003 - as the type has it
                {
                    **SETTINGS, "ensemble": "studio", "keep_sketch": True, "layout": "",
                    "plan": "harbour-arc", "tune": "", "key": "", "by": "",
                    "direction": "nearest",
                },
            ),
            ProjectCue(
                Path("sketches/ferry.mxl"),
                Path("ferry.mxl"),
                Path("parts"),
                0,
                False,  # noqa: FBT003 - likewise
                {
                    **SETTINGS, "ensemble": "chamber", "keep_sketch": False,
                    "layout": "Vn I 8va / Vc", "plan": "", "tune": "P2", "key": "", "by": "m3",
                    "direction": "down",
                },
            ),
        ),
    )  # fmt: skip


def test_nothing_is_a_project_too():
    assert load_project(written("")) == Project(Path("rewriter.toml"), {}, ())


def test_the_least_a_cue_says():
    project = load_project(written('[[cue]]\nsketch = "a.xml"\nlayout = "Vc"'))
    (cue,) = project.cues
    assert (cue.sketch, cue.out) == (Path("a.xml"), Path("a-strings.musicxml"))
    assert (cue.parts, cue.cue_notes, cue.copy) == (None, 0, True)
    assert cue.settings == {
        "layout": "Vc", "plan": "", "tune": "", "key": "", "by": "", "direction": "nearest",
    }  # fmt: skip


def test_what_it_names_is_looked_for_beside_it(monkeypatch):
    written('title = "Own"\nstack = "Vc"\n', "work/rules/layouts/own.toml")
    written('title = "Low"\nstack = "Vla"\n', "work/far/low.toml")
    written('title = "Ours"\nbased_on = "studio"\n', "work/rules/ensembles/house.toml")
    written(
        'ensemble = "house"\n'
        '[[cue]]\nsketch = "a.xml"\nlayout = "own"\n'
        '[[cue]]\nsketch = "b.xml"\nlayout = "far/low.toml"\n',
        "work/rewriter.toml",
    )
    Path("work/deep/down").mkdir(parents=True)
    monkeypatch.chdir("work/deep/down")
    file = find_project()
    assert file == Path("../../rewriter.toml")
    project = load_project(file)
    assert [cue.settings["layout"] for cue in project.cues] == [
        "../../rules/layouts/own.toml",
        "../../far/low.toml",
    ]
    assert project.cues[0].settings["ensemble"] == "../../rules/ensembles/house.toml"
    assert project.cues[0].sketch == Path("../../a.xml")
    assert project.cues[0].out == Path("../../a-strings.musicxml")
    assert load_defaults(file) == {"ensemble": "../../rules/ensembles/house.toml"}


def test_the_nearest_is_found(monkeypatch):
    assert find_project() is None
    written("", "rewriter.toml")
    written("", "inner/rewriter.toml")
    Path("inner/folder").mkdir()
    assert find_project() == Path("rewriter.toml")
    monkeypatch.chdir("inner/folder")
    assert find_project() == Path("../rewriter.toml")


def test_defaults_do_not_need_the_cues():
    file = written('language = "de"\n[[cue]]\nsketch = "a.xml"\nlayout = "Vnn"\n')
    assert load_defaults(file) == {"language": "de"}


def test_a_house_for_all_cues(monkeypatch):
    written('title = "Ours"\n', "work/rules/house/ours.toml")
    file = written(
        'house = "ours"\n[[cue]]\nsketch = "a.xml"\nlayout = "Vc"', "work/rewriter.toml"
    )
    assert load_defaults(file) == {"house": "work/rules/house/ours.toml"}
    project = load_project(file)
    assert project.defaults == {}  # whoever expands has no house
    assert "house" not in project.cues[0].settings
    monkeypatch.chdir("work")
    assert load_defaults(Path("rewriter.toml")) == {"house": "ours"}


def test_a_house_that_is_not_there():
    written('title = "Ours"\n', "rules/house/seaside.toml")
    said = (
        'rewriter.toml:1: house: there is no house file called "seesides"; '
        "did you mean seaside?"
    )
    assert faults('house = "seesides"\n') == [said]
    with pytest.raises(Refused) as caught:
        load_defaults(Path("rewriter.toml"))
    assert str(caught.value) == said


def test_every_fault_is_told_at_once():
    assert faults(
        'ensemble = "stduio"\n'
        'langage = "it"\n'
        "cue_notes = -1\n"
        'registers = "sing"\n'
        "[[cue]]\n"
        'skecth = "a.xml"\n'
        "keep_sketch = 1\n"
    ) == [
        "rewriter.toml:2: langage: no such setting here; did you mean language?",
        "rewriter.toml:3: cue_notes: -1 is outside 0 to 999",
        'rewriter.toml:4: registers: "sing" is none of singing, measured; '
        "did you mean singing?",
        'rewriter.toml:5: cue[1].sketch: this setting is missing; write sketch = "..."',
        "rewriter.toml:6: cue[1].skecth: no such setting here; did you mean sketch?",
        "rewriter.toml:7: cue[1].keep_sketch: 1 stands where true or false is wanted",
    ]


def test_what_contradicts_itself():
    assert faults(
        'ensemble = "stduio"\n'
        '[[cue]]\nsketch = "a.xml"\nensemble = "studio"\n'
        'layout = "Vn I"\nplan = "harbour-ark"\n'
        '[[cue]]\nsketch = "b/a.xml"\nkey = "Q"\nby = "m3"\nup = true\ndown = true\n'
        '[[cue]]\nsketch = "c.xml"\ncue_notes = 4\ndown = true\n'
        '[[cue]]\nsketch = "d.xml"\nout = "c.xml"\n'
        '[[cue]]\nsketch = "e.xml"\nout = "a-STRINGS.musicxml"\n'
        '[[cue]]\nsketch = "f.xml"\nensemble = "studio"\nlayout = "Vn I / Vnn II"\n'
    ) == [
        'rewriter.toml:1: ensemble: there is no ensemble called "stduio"; did you mean studio?',
        "rewriter.toml:2: cue[1]: layout and plan stand together; keep one of the two",
        'rewriter.toml:6: cue[1].plan: there is no plan called "harbour-ark"; '
        "did you mean harbour-arc?",
        "rewriter.toml:7: cue[2]: key and by stand together; keep one of the two",
        "rewriter.toml:7: cue[2]: up and down stand together; keep one of the two",
        "rewriter.toml:7: cue[2]: a-strings.musicxml would be written for cue 1 too; "
        "name another file with out",
        'rewriter.toml:9: cue[2].key: "Q" is no key; write it like G, F# minor, Bb or Es-Dur',
        "rewriter.toml:15: cue[3].cue_notes: cue notes are about parts, and no folder is named "
        "for them; add parts",
        "rewriter.toml:16: cue[3].down: down is said, but no key to go to; add key or by",
        "rewriter.toml:17: cue[4]: c.xml is a sketch; name another file with out",
        "rewriter.toml:20: cue[5]: a-STRINGS.musicxml would be written for cue 1 too; "
        "name another file with out",
        'rewriter.toml:26: cue[6].layout: no section is called "Vnn II" in studio; '
        "did you mean Vn II?",
    ]


def test_no_toml_at_all():
    assert faults("cue = [") == ["rewriter.toml:1: this is no value; put text in quotes"]


SETTING = st.sampled_from(
    [
        "ensemble",
        "language",
        "cue",
        "sketch",
        "layout",
        "plan",
        "key",
        "by",
        "out",
        "parts",
        "x",
    ]
)
VALUE = st.sampled_from(
    ['""', '"a"', '"../a.toml"', '"Vn I"', "1", "-1", "true", "[]", "{}", '"\\u0000"', '"m3"']
)
ROW = st.one_of(
    st.builds("{} = {}".format, SETTING, VALUE), st.sampled_from(["[[cue]]", "[cue]", "["])
)


@given(st.lists(ROW, max_size=8))
def test_whatever_stands_in_it_is_read_or_refused(rows):
    path, told = written("\n".join(rows)), []
    for read in (load_project, load_defaults):
        try:
            read(path)
        except Refused as refused:
            told.append(str(refused))
    assert all(text.startswith("rewriter.toml:") for text in told)
