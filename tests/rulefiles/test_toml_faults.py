"""Texts that are no TOML: what the TOML 1.0 specification forbids, said for people."""

import pytest

from rewriter.problems import Refused
from rewriter.rulefiles.shapes import RuleText


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'title: "x"',
            '1: no "=" stands after the name of this setting; write title = "x"',
        ),
        ("[with", '1: no "]" stands after the name of this block; write [with]'),
        ("[[with]", '1: no "]]" stands after the name of this block; write [[with]]'),
        (
            'a = "x" b = "y"',
            "1: more stands here than one setting; begin another row, or close the quotes",
        ),
        ("= 3", '1: this is no setting; write it like title = "x"'),
        ("a.= 3", '1: a setting has no name here; write it like title = "x"'),
        ("\na = Vc", '2: this text has no quotes; write a = "Vc"'),
        ("a = 2026-02-30", '1: this text has no quotes; write a = "2026-02-30"'),
        ('a = "\\ud800"', "1: this is no number of a character"),
        ('a = "\\uzzzz"', "1: this is no number of a character"),
        ('a = "rules\\layouts"', '1: a "\\" stands alone in this text; write it twice'),
        ("a = [1, 2", '1: this list has no "]" at its end'),
        (
            "a = { b = 1",
            "1: settings between { and } stand in one row; close them in this one",
        ),
        ('a = "x', '1: this text has no quote at its end; write a = "x"'),
        ('a = "x\nb = 1', '1: this text has no quote at its end; write a = "x"'),
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


NAMES = "a name with a space or a sign in it needs quotes"
CURLY = "curly quotes stand here, not straight ones"
ALL = "quotes stand around the whole text, and only there"
NO_EQUALS = 'no "=" stands after the name of this setting'


@pytest.mark.parametrize(
    ("text", "what", "write"),
    [
        ("stack = Vn I / Vc  # the top", "this text has no quotes", 'stack = "Vn I / Vc"'),
        ("bars = 1-8", "this text has no quotes", 'bars = "1-8"'),
        ("from = 16 beat 4", "this text has no quotes", 'from = "16 beat 4"'),
        ("above = F#4", "this text has no quotes", 'above = "F#4"'),
        ('title = Broad "x"', "this text has no quotes", "title = 'Broad \"x\"'"),
        ("title = \u201cx\u201d", CURLY, 'title = "x"'),
        ('title = "x\u201d', CURLY, 'title = "x"'),
        ("title = \u2018x\u2019", CURLY, 'title = "x"'),
        ("[line.\u201eVn I\u201c]", CURLY, '[line."Vn I"]'),
        ("[line.Vn I]", NAMES, '[line."Vn I"]'),
        ('[line."Vn I]', NAMES, '[line."Vn I"]'),
        ('line.Vn I.marking = "x"', NAMES, 'line."Vn I".marking = "x"'),
        ("up = Yes", "this is neither true nor false", "up = true"),
        ("down = False", "this is neither true nor false", "down = false"),
        ("pickup = 1,5", "a decimal has a point", "pickup = 1.5"),
        ("sings = .9", "a decimal begins with a figure", "sings = 0.9"),
        ('stack = "Vc",', 'no "," stands at the end of a row', 'stack = "Vc"'),
        ('stack = "Vn I" / "Vc"', ALL, 'stack = "Vn I / Vc"'),
        ('stack = "Vn I / Vc" 8va', ALL, 'stack = "Vn I / Vc 8va"'),
        ('title "x"', NO_EQUALS, 'title = "x"'),
        ("- bars: 1-8", NO_EQUALS, 'bars = "1-8"'),
        ("stack =", 'nothing stands after the "="', 'stack = "..."'),
        ("stack = # the top", 'nothing stands after the "="', 'stack = "..."'),
        ("passage:", "a block begins with its name in brackets", "[[passage]]"),
        ("// the top", 'a remark begins with "#"', "# the top"),
        ("; the top", 'a remark begins with "#"', "# the top"),
        ("a\u00a0= 1", "a space that is no plain one stands here", "a = 1"),
    ],
)
def test_what_was_probably_meant(text: str, what: str, write: str) -> None:
    assert told(text) == f"x.toml:1: {what}; write {write}"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[passage]\n[passage]", "2: this stands in the file twice; "
         "write [[passage]] for each of them"),
        ("[limits]\n[limits]", "2: this stands in the file twice; keep one of the two"),
        ("{\\rtf1 x}", "1: this is no plain text; save the file as plain text, in UTF-8"),
        ("<html>", "1: this is no plain text; save the file as plain text, in UTF-8"),
        (f"a = {'x' * 99}", "1: this is no value; put text in quotes"),  # too long to repeat
    ],
)  # fmt: skip
def test_other_mistakes_of_whole_rows(text: str, said: str) -> None:
    assert told(text) == f"x.toml:{said}"


def told(text: str) -> str:
    with pytest.raises(Refused) as caught:
        RuleText(text, "x.toml").raw()
    return str(caught.value)
