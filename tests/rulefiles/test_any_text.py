"""No text makes a rule file reader stumble: it is read, or every fault is told in a line."""

import re
from pathlib import Path
from typing import Annotated

import msgspec
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from msgspec import Meta

from rewriter.problems import Refused
from rewriter.rulefiles.ensemble_files import ensemble_from_text
from rewriter.rulefiles.house_files import house_from_text
from rewriter.rulefiles.layout_files import layout_from_text
from rewriter.rulefiles.plan_files import plan_from_text
from rewriter.rulefiles.shelf import shipped_folder
from tests.rulefiles.strings import symphonic


class Rule(msgspec.Struct):
    """What may be set of a rule."""

    most: Annotated[int, Meta(ge=0)] = 4
    may: tuple[str, ...] = ()


READERS = {
    "ensemble": lambda text: ensemble_from_text(text, "x.toml", name="x"),
    "layout": lambda text: layout_from_text(text, "x.toml", symphonic()),
    "house": lambda text: house_from_text(text, Path("x.toml"), {"a-rule": Rule}, None),
    "plan": lambda text: plan_from_text(text, "x.toml", symphonic(), folder=Path()),
}
SOUND = {
    "ensemble": 'title = "x"\nbased_on = "symphonic"\n[[section]]\nname = "Vc"\nplayers = 3\n'
    'low = "C2"\nregisters = [{ name = "a", from = "C2", sings = 0.5 }]\n',
    "layout": 'title = "x"\nstack = "Vc / Db"\n[line."Vc"]\ndynamic = "-1"\nhandover = '
    '{ above = "A4", to = "Vla" }\n[[with]]\nfrom = "Bass"\nto = "Db"\n[condition]\n'
    'because = "x"\ncellos_from = "D3"\n[limits]\nout_of_range = "rest"\n',
    "house": 'title = "x"\nleading = "Vc"\n[rule.a-rule]\nseverity = "off"\nmost = 2\n'
    'may = ["x"]\n[[scoring]]\nwhere = { statement = "last", above = "A4", from = "A", '
    'to = "B" }\n'
    'want = "four-levels"\nlevels_at_least = 2\nmust_play = ["Vn I"]\ndouble = "Vla with Vc"\n'
    'handover = { section = "Vc", above = "A4", to = "Vla" }\n',
    "plan": '[[passage]]\nbars = "1-8"\nstack = "Vc"\nkey = "G"\npickup = 1.5\n'
    '[[passage]]\nfrom = "A"\nto = "end"\nlayout = "four-levels"\noctave = "8va"\n',
}
VALUES = ["nan", "-inf", "99999999999999999999999", "1979-05-27", "[[]]", "{ a = [1] }", '""',
          "true", '"\\u0000"', '"Vn"', "'''a\nb'''", '"\\n"', "[{}]", "-1", "0.5"]  # fmt: skip


def told(kind: str, text: str) -> list[str]:
    """Lines of the refusal; none where the text was read."""
    try:
        READERS[kind](text)
    except Refused as fault:
        return str(fault).split("\n")
    return []


@pytest.mark.parametrize("kind", READERS)
def test_the_texts_to_spoil_are_sound(kind):
    assert told(kind, SOUND[kind]) == []


@given(st.data(), st.sampled_from(sorted(READERS)), st.sampled_from(VALUES))
def test_a_value_of_any_kind(data, kind, value):
    lines = SOUND[kind].splitlines()
    keyed = [index for index, line in enumerate(lines) if " = " in line]
    index = data.draw(st.sampled_from(keyed))
    key = lines[index].split(" = ")[0]
    lines[index] = f"{key} = {value}"
    for line in told(kind, "\n".join(lines)):
        assert re.match(r"x\.toml:\d+: \S", line)


@given(st.data(), st.sampled_from(sorted(READERS)))
def test_a_text_cut_or_mixed_up(data, kind):
    text = SOUND[kind]
    start, stop = sorted(data.draw(st.tuples(*[st.integers(0, len(text))] * 2)))
    spoilt = (
        text[:start] + data.draw(st.text(alphabet='a="[]{}.#\n1', max_size=4)) + text[stop:]
    )
    for line in told(kind, spoilt):
        assert re.match(r"x\.toml:\d+: \S", line)


@given(st.sampled_from(sorted(READERS)), st.text(max_size=40))
@example("layout", "\ufeff")
@example("layout", 'title = "\x00"')
def test_any_text_at_all(kind, text):
    lines = told(kind, text)
    assert lines or kind == "house"  # nothing so short is a whole file, but for a house


@pytest.mark.parametrize(
    "path", sorted(shipped_folder().glob("*/*.toml")), ids=lambda path: path.stem
)
def test_shipped_files_are_plain_text(path):
    text = path.read_text(encoding="utf-8")
    assert text.endswith("\n")
    assert "\r" not in text
    assert "\t" not in text
