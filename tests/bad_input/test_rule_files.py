"""Rule files that no rule needs: refused in a line, however large and whatever kind of file."""

import os
import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import rewriter
from rewriter.problems import Refused
from rewriter.rulefiles.layout_files import layout_from_text
from rewriter.rulefiles.line_numbers import KeyPath, line_of
from rewriter.rulefiles.loading import is_layout, resolve_layout
from rewriter.rulefiles.plan_files import plan_from_text
from rewriter.rulefiles.shapes import RuleText
from rewriter.rulefiles.shelf import find_rule, path_of_name, shipped_folder
from rewriter.rulefiles.stack import parse_stack
from rewriter.rulefiles.stack_text import StackFault
from tests.property.test_no_input_breaks_it import coming_to_an_end
from tests.rulefiles.strings import symphonic
from tests.shorthand import sketch

if TYPE_CHECKING:
    from collections.abc import Iterable


def refusal(text: str, *, plan: bool = False) -> list[str]:
    """The lines of it."""
    with coming_to_an_end(), pytest.raises(Refused) as caught:
        read(text, plan=plan)
    return str(caught.value).split("\n")


def read(text: str, *, plan: bool) -> None:
    if plan:
        plan_from_text(text, "x.toml", symphonic(), folder=Path())
    else:
        layout_from_text(text, "x.toml", symphonic())


def test_a_fault_behind_thousands_of_rows() -> None:
    rows = "".join(f"# row {number}\n[line.Vc{number}]\n" for number in range(4000))
    lines = refusal(f'title = "x"\nstack = "Vc"\n{rows}')
    assert lines[0].startswith('x.toml:4: line."Vc0": no section is called "Vc0"')
    assert lines[39].startswith('x.toml:82: line."Vc39": no section is called "Vc39"')
    told = refusal('title = "x"\n' + "# a row\n" * 4000 + 'stack = "Vc"\nsummry = "x"')
    assert told == ["x.toml:4003: summry: no such setting here; did you mean summary?"]


def test_a_fault_in_each_of_a_thousand_passages() -> None:
    lines = refusal('[[passage]]\nbars = "1"\nstack = "Vx"\n' * 1000, plan=True)
    assert len(lines) == 41
    assert lines[39].startswith("x.toml:120: passage[40].stack: no section is called")
    assert lines[40] == "x.toml: 960 more faults; mend these first"


def test_a_text_without_end() -> None:
    long = '"""' + ("Vn I /\\\n" * 2000) + '"""'
    assert refusal(f'title = "x"\nstack = {long}')[0] == (
        "x.toml:2: stack: this text is longer than 2000 characters"
    )


@pytest.mark.parametrize("text", ["Vn I / " * 150_000, "x" * 2**20, "/" * 2**20, '"' * 2**20])
def test_a_stack_without_end(text: str) -> None:
    with coming_to_an_end(), pytest.raises(StackFault) as caught:
        parse_stack(text, symphonic())
    assert str(caught.value) == "a stack of more than 1000 characters; name each section once"
    assert len(caught.value.quotation) < 300
    with coming_to_an_end(), pytest.raises(Refused) as refused:
        resolve_layout(text, symphonic())
    assert len(str(refused.value)) < 400


SPACES = " " * 900


@pytest.mark.parametrize(
    "setting", ["bars", "from", "to", "key", "by", "octave", "layout", "stack"]
)
@pytest.mark.parametrize("value", [f"a{SPACES}", f"a{SPACES}b", f"1{SPACES}-{SPACES[:50]}x"])
def test_spaces_without_end(setting: str, value: str) -> None:
    kept = {"bars": "1", "from": "1", "to": "2", "stack": "Vc"}
    del kept["bars" if setting in {"from", "to"} else "from"]
    kept |= {setting: value}
    text = "[[passage]]\n" + "".join(f'{key} = "{said}"\n' for key, said in kept.items())
    lines: list[str] = []
    with coming_to_an_end():
        try:
            read(text, plan=True)
        except Refused as refused:
            lines = str(refused).split("\n")
    assert all(len(line) < 400 for line in lines)


@pytest.mark.parametrize(
    ("text", "row"),
    [
        ("\nx = " + "[" * 400 + "]" * 400, 2),
        ("x = " + "{a=" * 240 + "1" + "}" * 240, 1),
        ("x = 1\n[y]\n" + ".".join("a" * 400) + " = 1", 3),
        ("x = " + "[" * 101 + "]" * 101, 1),
        ("x = [\n" + "[\n" * 500 + "]\n" * 501, 101),
    ],
)
def test_brackets_nested_beyond_all_use(text: str, row: int) -> None:
    said = "settings are nested too deeply here; nothing in a rule file needs it"
    assert refusal(text) == [f"x.toml:{row}: {said}"]


def test_names_of_thousands_of_parts() -> None:
    said = "this row is longer than 1000 characters; break it into several"
    assert refusal(".".join("a" * 5000) + " = 1") == [f"x.toml:1: {said}"]


@pytest.mark.parametrize("sign", ["\\u0000", "\\b", "\\u000E", "\\u001b", "\\ufffe", "\\u000B"])
@pytest.mark.parametrize("setting", ['marking = "{}"', 'dynamic = "{}"'])
def test_characters_that_no_score_can_hold(setting: str, sign: str) -> None:
    text = f'title = "x"\nstack = "Vc"\n[line.Vc]\n{setting.format("espr." + sign)}'
    code = {"\\b": "0008"}.get(sign, sign[2:].upper())
    where = f'x.toml:4: line."Vc".{setting.split(" ", maxsplit=1)[0]}'
    assert refusal(text) == [
        f"{where}: the character U+{code} can stand in no score; take it out"
    ]


def test_files_that_are_none(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    endless = tmp_path / "endless.toml"
    endless.symlink_to("/dev/zero")
    large = tmp_path / "large.toml"
    large.write_bytes(b"# row\n" * 2**16)
    for path, said in {
        pipe: "this is a device, not a file; name a file",
        endless: "this is a device, not a file; name a file",
        tmp_path / "folder.toml": "this is a folder; name the rule file in it",
        large: "the file is larger than 256 KB; no rule is so long",
        tmp_path / "nu\0l.toml": "there is no such file",
    }.items():
        if path.name == "folder.toml":
            path.mkdir()
        with coming_to_an_end(), pytest.raises(Refused) as caught:
            find_rule("layouts", str(path))
        assert str(caught.value).endswith(said)


def test_a_reading_of_lines_agrees_with_what_tomllib_reads() -> None:
    """Every setting of every shipped file is found on a row that names it."""
    count = 0
    for path in shipped_folder().glob("*/*.toml"):
        text = path.read_text(encoding="utf-8")
        rows = text.splitlines()
        for key, row in _named(RuleText(text, path.name).raw(), (), text):
            assert re.search(rf'(^|[\s.\[{{"]){re.escape(key)}["\s.\]=]', rows[row - 1])
            count += 1
    assert count > 500


def _named(value: object, path: KeyPath, text: str) -> list[tuple[str, int]]:
    items: Iterable[tuple[str | int, object]] = ()
    if isinstance(value, dict):
        items = value.items()
    elif isinstance(value, list):
        items = enumerate(value)
    found: list[tuple[str, int]] = []
    for key, inner in items:
        if isinstance(key, str):
            found.append((key, line_of(text, (*path, key))))
        found += _named(inner, (*path, key), text)
    return found


def test_a_sketch_names_no_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stacks and layouts that have names, but nothing else on the disk of whoever opens it."""
    monkeypatch.chdir(tmp_path)
    Path("spied.toml").write_text('title = "x"\nstack = "Vc"\n', encoding="utf-8")
    text = sketch("4/4 | C4w | D4w |").decode()
    for words in ("spied.toml", "../spied.toml", "/etc/spied.TOML"):
        above = (
            f"<direction><direction-type><words>[{words}]</words></direction-type></direction>"
        )
        with pytest.raises(Refused) as caught:
            rewriter.expand(text.replace("<note>", above + "<note>", 1).encode())
        assert str(caught.value) == (
            f'sketch: bar 1, words [{words}]: "{words}" is a file, which no sketch may name; '
            "write a stack or the name of a layout, or name the file with --layout"
        )


def test_a_name_is_no_way_out_of_the_folder_of_rules() -> None:
    for name in ("../plans/harbour-arc", "/etc/passwd", "..", "C:x", "x" * 300, "a\0b"):
        assert path_of_name("layouts", name) is None
    for words in ("../plans/harbour-arc", "a" * 3000, "a " * 3000, "/" * 3000):
        with coming_to_an_end():
            assert not is_layout(words, symphonic())
