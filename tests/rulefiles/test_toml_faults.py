"""Texts that are no TOML: what the TOML 1.0 specification forbids, said for people."""

import pytest

from rewriter.problems import Refused
from rewriter.rulefiles.shapes import RuleText


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'title: "x"',
            '1: no "=" stands after the name of this setting; write it like title = "x"',
        ),
        ("[with", '1: no "]" stands after the name of this block'),
        ("[[with]", '1: no "]]" stands after the name of this block'),
        (
            'a = "x" b = "y"',
            "1: more stands here than one setting; begin another row, or close the quotes",
        ),
        ("= 3", '1: this is no setting; write it like title = "x"'),
        ("a.= 3", '1: a setting has no name here; write it like title = "x"'),
        ("\na = Vc", "2: this is no value; put text in quotes"),
        ("a = 2026-02-30", "1: this is no date; put text in quotes"),
        ('a = "\\ud800"', "1: this is no number of a character"),
        ('a = "\\uzzzz"', "1: this is no number of a character"),
        ('a = "rules\\layouts"', '1: a "\\" stands alone in this text; write it twice'),
        ("a = [1, 2", '1: this list has no "]" at its end'),
        ("a = { b = 1", '1: these settings have no "}" at their end'),
        ('a = "x', "1: this text has no quote at its end"),
        ('a = "x\nb = 1', "1: this text has no quote at its end"),
        ('a = """x', "1: this text has no quote at its end"),
        ("a = '''x", "1: this text has no quote at its end"),
        ("a = 1\na = 2", "2: this stands in the file twice; keep one of the two"),
        ("[a]\n[b]\n[a]", "3: this stands in the file twice; keep one of the two"),
        ("a = { b = 1, b = 2 }", "1: this stands in the file twice; keep one of the two"),
        ("a = {}\n[a.b]", "2: this stands in the file twice; keep one of the two"),
        ('a = "\x07"', '1: "\\x07" cannot stand here'),
        ("# \x00", '1: "\\x00" cannot stand here'),
    ],
)
def test_what_is_said_of_a_text_that_is_no_toml(text: str, said: str) -> None:
    with pytest.raises(Refused) as caught:
        RuleText(text, "x.toml").raw()
    assert str(caught.value) == f"x.toml:{said}"
