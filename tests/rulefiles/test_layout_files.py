"""Layout files: what they mean, and what their faults are told."""

from pathlib import Path

import pytest

from rewriter.problems import Refused
from rewriter.rulefiles.layout_files import layout_from_text
from rewriter.rulefiles.layouts import Bound, Handover, LineDetail
from rewriter.rulefiles.loading import load_ensemble, resolve_layout
from tests.rulefiles.strings import symphonic

WHOLE = """
title = "Three levels, the middle doubled"
summary = "Balanced and broad."
source = "common practice"
stack = "Vn I / Vn II + Vla / half Vc"
character = "Even."
chords = "divide"

[line."Cello"]
handover = { above = "A4", to = "2nd Violins", at = "bar", leave = true, dovetail = true }
marking = "espr."
dynamic = "\u22121"

[line."Vn"]
dynamic = "mf"

[[with]]
from = "Bass"
to = "half Vc loco / Db"
chords = "divide"

[condition]
cellos_from = "D3"
violins_to = "E6"
because = "the cellos sing on their upper strings"

[limits]
out_of_range = "octave"
"""


def test_everything_a_layout_can_say():
    layout = layout_from_text(WHOLE, "broad.toml", symphonic())
    assert (layout.name, layout.title) == ("broad", "Three levels, the middle doubled")
    assert (layout.summary, layout.character) == ("Balanced and broad.", "Even.")
    assert layout.stack.written(None) == "Vn I / Vn II + Vla / half Vc"
    assert layout.chords == "divide"
    assert layout.limits.out_of_range == "octave"
    handover = Handover(above=69, below=None, to="Vn II", at="bar", leave=True, dovetail=True)
    assert layout.line == {
        "Vc": LineDetail(handover=handover, marking="espr.", dynamic="-1"),
        "Vn I": LineDetail(dynamic="mf"),
        "Vn II": LineDetail(dynamic="mf"),
    }
    (other,) = layout.with_
    assert (other.source, other.chords) == ("Bass", "divide")
    assert other.stack.written(other.stack.top_octave) == "half Vc loco / Db"
    assert layout.condition is not None
    assert layout.condition.bounds == (
        Bound(family="violins", sections=("Vn I", "Vn II"), low=None, high=88),
        Bound(family="cellos", sections=("Vc",), low=50, high=None),
    )
    assert layout.condition.because == "the cellos sing on their upper strings"
    assert layout.condition.source == "common practice"


def test_what_a_layout_leaves_out():
    layout = layout_from_text('title = "x"\nstack = "Vc"\n', "x.toml", symphonic())
    assert (layout.line, layout.with_, layout.condition) == ({}, (), None)
    assert (layout.limits.out_of_range, layout.chords) == ("keep", "top")
    assert layout.source == "common practice, no source"


def refusal(text: str) -> Refused:
    with pytest.raises(Refused) as caught:
        layout_from_text(text, "broad.toml", symphonic())
    return caught.value


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('title = "x"', ['broad.toml:1: stack: this setting is missing; write stack = "..."']),
        (
            "title = 3",
            ['broad.toml:1: title: 3 stands where text in quotes is wanted; write "3"'],
        ),
        (
            'title = "x"\nstack = "Vn I / Vnn II"',
            [
                'broad.toml:2: stack: no section is called "Vnn II" in symphonic; '
                "did you mean Vn II?"
            ],
        ),
        (
            'title = "x"\nstack = "Vc"\n[line."Vc"]\nhandover = { above = "A4", to = "Vla", '
            'at = "slurr" }',
            [
                'broad.toml:4: line."Vc".handover.at: "slurr" is none of slur, bar, rest; '
                "did you mean slur?"
            ],
        ),
        (
            'title = "x"\nstack = "Vc"\n[line."Vc"]\nhandover = { to = "Vn" }',
            [
                'broad.toml:4: line."Vc".handover.to: "Vn" means Vn I and Vn II; '
                "name one of them",
                'broad.toml:4: line."Vc".handover: there is no limit; '
                "say above or below which pitch the line passes on",
            ],
        ),
        (
            'title = "x"\nstack = "Vc"\n[line."Vc"]\nhandover = { above = "A4", to = "Cello" }',
            [
                'broad.toml:4: line."Vc".handover.to: Vc would hand over to itself; '
                "name another section"
            ],
        ),
        (
            'title = "x"\nstack = "Vn I"\n[line."Vc"]\nmarking = "espr."\n'
            'handover = { above = "A4", to = "Vla" }\n'
            '[[with]]\nfrom = "Bass"\nto = "Vc / Db"\n',
            [
                'broad.toml:5: line."Vc".handover: Vc only accompanies in this layout, and the '
                "tune is handed over; name it in the stack too, or take this out"
            ],
        ),
        (
            'title = "x"\nstack = "Vn II"\n[line."Vn"]\n'
            'handover.below = "C4"\nhandover.to = "Vla"\n'
            '[[with]]\nfrom = "Pad"\nto = "Vn I"\n',
            [
                'broad.toml:4: line."Vn".handover: Vn I only accompanies in this layout, and '
                "the tune is handed over; name it in the stack too, or take this out"
            ],
        ),
        (
            'title = "x"\nstack = "Vc"\n[line."Vla"]\nmarking = "espr."\n[line."Celo"]\n',
            [
                'broad.toml:3: line."Vla": Vla plays nothing in this layout; '
                "name it in the stack",
                'broad.toml:5: line."Celo": no section is called "Celo" in symphonic; '
                "did you mean Vc?",
            ],
        ),
        (
            'title = "x"\nstack = "Vc"\n[[with]]\nfrom = "Bass"\nto = "Db /"\n',
            ['broad.toml:5: with[1].to: nothing stands below this "/"'],
        ),
        (
            'title = "x"\nstack = "Vc"\n[condition]\nbecause = "x"\ncellos_form = "D3"\n',
            [
                "broad.toml:5: condition.cellos_form: no such setting here; "
                "did you mean cellos_from?"
            ],
        ),
        (
            'title = "x"\nstack = "Vc"\n[line."Vc"]\ndynamic = "loud"\n',
            [
                'broad.toml:4: line."Vc".dynamic: "loud" is no dynamic; '
                "write it like mf, or -1 for a step softer"
            ],
        ),
        (
            'title = "x"\nstack = "Vc\n',
            ['broad.toml:2: this text has no quote at its end; write stack = "Vc"'],
        ),
        (
            'title = "x"\n\nstack',
            [
                'broad.toml:3: no "=" stands after the name of this setting; '
                'write it like title = "x"'
            ],
        ),
        ("title = \n", ['broad.toml:1: nothing stands after the "="; write title = "..."']),
    ],
)
def test_faults(text, said):
    assert str(refusal(text)).split("\n")[: len(said)] == said


def test_the_first_stack_that_goes_wrong_is_quoted():
    text = 'title = "x"\nstack = "Vn I / Vnn II"\n'
    assert refusal(text).quotation == "Vn I / Vnn II\n       ~~~~~~"


def resolved(text: str) -> str:
    return resolve_layout(text, symphonic()).stack.written(None)


def test_a_name_a_file_or_a_stack(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("mine.toml").write_text('title = "x"\nstack = "Vla / Vc"\n')
    assert resolved("cellos-alone") == "Vc"
    assert resolved("mine.toml") == "Vla / Vc"
    assert resolved("Vn I / Vc") == "Vn I / Vc"
    assert resolved("Cello") == "Vc"
    assert resolve_layout(" Vn I 8va / Vc ", symphonic()).title == "Vn I 8va / Vc"


def test_the_project_comes_before_what_is_shipped(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "rules" / "layouts"
    folder.mkdir(parents=True)
    (folder / "cellos-alone.toml").write_text('title = "x"\nstack = "half Vc"\n')
    assert resolved("cellos-alone") == "half Vc"
    (folder / "cellos-alone.toml").write_text('title = "x"\nstack = "half Vcc"\n')
    with pytest.raises(Refused) as caught:
        resolved("cellos-alone")
    assert str(caught.value) == (
        'rules/layouts/cellos-alone.toml:2: stack: no section is called "Vcc" in symphonic; '
        "did you mean Vc?"
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "cello-alone",
            'no layout is called "cello-alone", nor is it a stack: no section is called '
            '"cello-alone" in symphonic; did you mean the layout cellos-alone?',
        ),
        (
            "Vn I / Vcc",
            'stack, character 8: no section is called "Vcc" in symphonic; did you mean Vc?',
        ),
        ("", "stack, character 1: the stack is empty; write it like Vn I / Vc"),
        ("nowhere.toml", "nowhere.toml: there is no such file"),
    ],
)
def test_what_is_no_layout(text, said, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(Refused) as caught:
        resolved(text)
    assert str(caught.value) == said


def test_a_file_that_is_no_text(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("x.toml").write_bytes(b'title = "B\xe4sse"\n')
    with pytest.raises(Refused) as caught:
        resolved("x.toml")
    assert str(caught.value) == "x.toml: byte 11 is no UTF-8; save the file as UTF-8 text"


def test_a_folder_is_no_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("x.toml").mkdir()
    with pytest.raises(Refused) as caught:
        resolved("x.toml")
    assert str(caught.value) == "x.toml: this is a folder; name the rule file in it"


def test_a_byte_order_mark_does_not_matter(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("x.toml").write_bytes(b'\xef\xbb\xbftitle = "x"\nstack = "Vc"\n')
    assert resolved("x.toml") == "Vc"


def test_sections_of_another_ensemble():
    chamber = load_ensemble("chamber")
    with pytest.raises(Refused) as caught:
        resolve_layout("desk 4 Vn I / others Vn I", chamber)
    assert str(caught.value) == "stack, character 1: Vn I has no desk 4; it has 3"


def test_a_layout_without_a_title_has_its_name():
    layout = layout_from_text('stack = "Vc"', "low.toml", symphonic())
    assert (layout.name, layout.title) == ("low", "low")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("harbour-arc", '"harbour-arc" is a plan, not a layout; name it with --plan'),
        ("chamber", '"chamber" is an ensemble, not a layout; name it with --ensemble'),
        ("arc.toml", "arc.toml: this is a plan, not a layout; name it with --plan"),
        ("ten.toml", "ten.toml: this is an ensemble, not a layout; name it with --ensemble"),
        (
            "arc",
            'no layout is called "arc", nor is it a stack: no section is called "arc" '
            "in symphonic; did you mean the file arc.toml?",
        ),
        (
            "cellos-alone.toml",
            "cellos-alone.toml: there is no such file; "
            "did you mean cellos-alone, without .toml?",
        ),
        ("acr.toml", "acr.toml: there is no such file; did you mean arc.toml?"),
        (
            "broad.toml",
            'broad.toml: there is no such file; "broad.toml.txt" is there: '
            'take ".txt" off its name',
        ),
        ("zzz.toml", "zzz.toml: there is no such file"),
    ],
)
def test_what_is_a_rule_but_no_layout_or_nearly_one(text, said, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("arc.toml").write_text('[[passage]]\nbars = "1"\nstack = "Vc"\n')
    Path("ten.toml").write_text('based_on = "chamber"\n')
    Path("broad.toml.txt").write_text('stack = "Vc"\n')
    with pytest.raises(Refused) as caught:
        resolve_layout(text, symphonic())
    assert str(caught.value) == said


def test_a_sketch_learns_nothing_of_files(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("arc.toml").write_text('stack = "Vc"\n')
    with pytest.raises(Refused) as caught:
        resolve_layout("arc", symphonic(), files=False)
    assert "arc.toml" not in str(caught.value)
