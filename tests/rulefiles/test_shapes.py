"""Faults of rule files in general: their lines, and what is wrong with a value."""

import msgspec
import pytest

from rewriter.problems import Refused
from rewriter.rulefiles.line_numbers import line_of
from rewriter.rulefiles.shapes import RuleText

TEXT = """\
# a comment
title = "x"     # another

words = \"\"\"
three
lines\"\"\"
inline = { one = 1, two = { three = 3 } }
list = [
    1,
    { four = 4 },  # comment
    [5, 6],
]
dotted.deep.five = 5

[table]
six = 6

[[many]]
seven = 7

# before the table
[other."quoted key"]
eight = 8

[[many]]
nine = 9

[table.inner]
ten = 10
"""

LINES = [
    (("title",), 2),
    (("words",), 4),
    (("inline",), 7),
    (("inline", "two", "three"), 7),
    (("list",), 8),
    (("list", 0), 9),
    (("list", 1, "four"), 10),
    (("list", 2, 1), 11),
    (("dotted", "deep", "five"), 13),
    (("table",), 15),
    (("table", "six"), 16),
    (("many", 0), 18),
    (("many", 0, "seven"), 19),
    (("other", "quoted key"), 22),
    (("other", "quoted key", "eight"), 23),
    (("many", 1), 25),
    (("many", 1, "nine"), 26),
    (("table", "inner"), 28),
    (("table", "inner", "ten"), 29),
    (("table", "missing"), 15),
    (("many", 1, "missing"), 25),
    (("inline", "missing"), 7),
    (("missing",), 1),
    ((), 1),
]


@pytest.mark.parametrize(("path", "line"), LINES)
def test_lines(path, line):
    assert line_of(TEXT, path) == line


@pytest.mark.parametrize(("path", "line"), LINES)
def test_lines_with_carriage_returns(path, line):
    assert line_of(TEXT.replace("\n", "\r\n"), path) == line


class Inner(msgspec.Struct, forbid_unknown_fields=True):
    count: int = 0


class Shape(msgspec.Struct, forbid_unknown_fields=True):
    inner: Inner | None = None
    on: bool = False
    share: float = 0
    many: tuple[Inner, ...] = ()
    table: dict[str, Inner] = {}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("inner = 3", "x.toml:1: inner: 3 stands where a block of settings is wanted"),
        (
            "inner.count = 1.5",
            "x.toml:1: inner.count: 1.5 stands where a whole number is wanted",
        ),
        (
            "inner.count = true",
            "x.toml:1: inner.count: true stands where a whole number is wanted",
        ),
        ('on = "yes"', 'x.toml:1: on: "yes" stands where true or false is wanted'),
        ("share = []", "x.toml:1: share: a list stands where a number is wanted"),
        (
            "[many]",
            "x.toml:1: many: a block of settings stands where a list is wanted; "
            "write [[many]], with two brackets",
        ),
        (
            'many = "x"',
            'x.toml:1: many: "x" stands where a list is wanted; write ["x"]',
        ),
        (
            'share = "0.5"',
            'x.toml:1: share: "0.5" stands where a number is wanted; write 0.5, without quotes',
        ),
        (
            'on = "true"',
            'x.toml:1: on: "true" stands where true or false is wanted; '
            "write true, without quotes",
        ),
        ("table = 1", "x.toml:1: table: 1 stands where a block of settings is wanted"),
        (
            "table.A.count = 1979-05-27",
            'x.toml:1: table."A".count: 1979-05-27 stands where a whole number is wanted',
        ),
        (
            "zzz = 1",
            "x.toml:1: zzz: no such setting here; allowed are inner, on, share, many, table",
        ),
    ],
)
def test_values_of_the_wrong_kind(text, said):
    with pytest.raises(Refused) as caught:
        RuleText(text, "x.toml").read(Shape)
    assert str(caught.value) == said


def test_a_sound_file():
    read = RuleText("share = 1\n[[many]]\ncount = 2\n", "x.toml").read(Shape)
    assert read == Shape(share=1.0, many=(Inner(2),))
