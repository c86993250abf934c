"""Plan files: what they mean, and what their faults are told."""

from fractions import Fraction
from pathlib import Path

import pytest

from rewriter.problems import Refused
from rewriter.rulefiles.plan_files import load_plan, plan_from_text
from rewriter.rulefiles.plans import Plan, Point
from rewriter.theory.fifths import Interval, Key
from tests.rulefiles.strings import symphonic


def read(text: str) -> Plan:
    return plan_from_text(text, "cue.toml", symphonic(), folder=Path())


def passage(text: str):
    (only,) = read(f"[[passage]]\n{text}\n").passages
    return only


def test_passages_in_the_order_of_the_file():
    plan = read(
        """
title = "An arc"
[[passage]]
bars = "1-8"
layout = "cellos-alone"
[[passage]]
from = "A"
to = "B"
pickup = 1
stack = "Vn I + Vn II 8va / Vla / half Vc"
key = "G"
"""
    )
    first, second = plan.passages
    assert (plan.name, plan.file, plan.title) == ("cue", "cue.toml", "An arc")
    assert (first.start, first.stop) == (Point("named", "1"), Point("named", "8"))
    assert (first.by_bars, first.pickup, first.layout.name) == (True, 0, "cellos-alone")
    assert (second.start, second.stop) == (Point("named", "A"), Point("named", "B"))
    assert (second.by_bars, second.pickup) == (False, 1)
    assert second.layout.stack.top_octave == 1
    assert (second.key, second.by, second.direction) == (Key(1, None), None, "nearest")
    assert [first.index, second.index] == [0, 1]


@pytest.mark.parametrize(
    ("bars", "first", "last"),
    [("1-8", "1", "8"), ("5", "5", "5"), ("12a \u2013 14", "12a", "14"), (" 0 - 3 ", "0", "3")],
)
def test_bars(bars, first, last):
    found = passage(f'bars = "{bars}"\nstack = "Vc"')
    assert (found.start.name, found.stop.name, found.by_bars) == (first, last, True)


@pytest.mark.parametrize(
    ("text", "point"),
    [
        ("start", Point("start")),
        ("End", Point("end")),
        ("16", Point("named", "16")),
        ("16 beat 4", Point("named", "16", Fraction(4))),
        ("A beat 2.5", Point("named", "A", Fraction(5, 2))),
        ("Trio II", Point("named", "Trio II")),
        ("start beat 2", Point("start", "", Fraction(2))),
    ],
)
def test_points(text, point):
    assert passage(f'from = "{text}"\nto = "end"\nstack = "Vc"').start == point


@pytest.mark.parametrize(
    ("words", "key", "by", "direction"),
    [
        ('key = "b-Moll"', Key(-2, "minor"), None, "nearest"),
        ('key = "D"\ndown = true', Key(2, None), None, "down"),
        ('by = "m3"', None, Interval(2, 3), "nearest"),
        ('by = "m3"\ndown = true', None, Interval(-2, -3), "down"),
        ('by = "down M2"', None, Interval(-1, -2), "nearest"),
        ('by = "M2"\nup = true', None, Interval(1, 2), "up"),
        ('by = "down M2"\ndown = true', None, Interval(-1, -2), "down"),
    ],
)
def test_keys(words, key, by, direction):
    found = passage(f'bars = "1"\nstack = "Vc"\n{words}')
    assert (found.key, found.by, found.direction) == (key, by, direction)


def test_what_a_passage_overrides():
    found = passage(
        'bars = "1"\nlayout = "four-levels"\noctave = "15ma"\nchords = "divide"\npickup = 1.5'
    )
    assert (found.octave, found.chords, found.pickup) == (2, "divide", Fraction(3, 2))
    plain = passage('bars = "1"\nlayout = "four-levels"')
    assert (plain.octave, plain.chords, plain.pickup) == (None, None, 0)


def test_a_layout_file_stands_beside_the_plan(tmp_path):
    (tmp_path / "mine.toml").write_text('title = "x"\nstack = "Vla / Vc"\n')
    plan = tmp_path / "cue.toml"
    plan.write_text('[[passage]]\nbars = "1"\nlayout = "mine.toml"\n')
    (only,) = load_plan(str(plan), symphonic()).passages
    assert only.layout.stack.text == "Vla / Vc"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", ["1: passage: there is no passage; add [[passage]] with bars and layout"]),
        (
            '[[passage]]\nbars = "1"\n',
            ["1: passage[1]: nothing says who plays here; write layout or stack"],
        ),
        (
            '[[passage]]\nfrom = "A"\nstack = "Vc"\n',
            [
                "1: passage[1]: nothing says which bars this passage is; "
                'write bars = "1-8", or both from and to'
            ],
        ),
        (
            '[[passage]]\nbars = "1"\nto = "3"\nstack = "Vc"\nlayout = "cellos-alone"\n',
            [
                "1: passage[1]: bars and from or to stand together; keep one of the two",
                "1: passage[1]: layout and stack stand together; keep one of the two",
            ],
        ),
        (
            '[[passage]]\nbars = "1 to 3"\nstack = "Vc"\n',
            [
                '2: passage[1].bars: "1 to 3" names no bars; '
                'write it like "1-8" or "5", or from and to for marks and beats'
            ],
        ),
        (
            '[[passage]]\nbars = "1"\nstack = "Vc"\n\n[[passage]]\nbars = "2"\nstack = "Vcc"\n',
            [
                '7: passage[2].stack: no section is called "Vcc" in symphonic; '
                "did you mean Vc?",
            ],
        ),
        (
            '[[passage]]\nbars = "1"\nlayout = "cello-alone"\n',
            [
                '3: passage[1].layout: no layout is called "cello-alone", nor is it a stack: '
                'no section is called "cello-alone" in symphonic; '
                "did you mean the layout cellos-alone?",
            ],
        ),
        (
            '[[passage]]\nbars = "1"\nstack = "Vc"\nkey = "Gx"\nby = "P3"\nup = true\n'
            'down = true\noctave = "9va"\n',
            [
                "1: passage[1]: key and by stand together; keep one of the two",
                "1: passage[1]: up and down stand together; keep one of the two",
                '4: passage[1].key: "Gx" is no key; write it like G, F# minor, Bb or Es-Dur',
                '5: passage[1].by: "P3" is no interval; write it like m3, up P4 or down M2',
                '8: passage[1].octave: "9va" is no octave; '
                "write it like 8va, loco or octave +2",
            ],
        ),
        (
            '[[passage]]\nbars = "1"\nstack = "Vc"\nby = "-M2"\nup = true\n',
            ['4: passage[1].by: "-M2" goes down, and up is asked for; keep one of the two'],
        ),
        (
            '[[passage]]\nbars = "1"\nstack = "Vc"\nup = true\n',
            ["4: passage[1].up: up is said, but no key to go to; add key or by"],
        ),
        (
            '[[passage]]\nbars = 1\nstack = "Vc"\nlayot = "x"\n',
            [
                '2: passage[1].bars: 1 stands where text in quotes is wanted; write "1"',
                "4: passage[1].layot: no such setting here; did you mean layout?",
            ],
        ),
        (
            '[[passage]]\nbars = "1"\nstack = "Vc"\npickup = -1\n',
            ["4: passage[1].pickup: -1 is outside 0 to 99"],
        ),
    ],
)
def test_faults(text, said):
    with pytest.raises(Refused) as caught:
        read(text)
    assert str(caught.value).split("\n") == [f"cue.toml:{line}" for line in said]


def test_a_fault_in_a_layout_file_names_both_files(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("mine.toml").write_text('title = "x"\nstack = "Vcc"\n')
    with pytest.raises(Refused) as caught:
        read('[[passage]]\nbars = "1"\nlayout = "mine.toml"\n')
    assert str(caught.value) == (
        'cue.toml:3: passage[1].layout: mine.toml:2: stack: no section is called "Vcc" '
        "in symphonic; did you mean Vc?"
    )


def test_every_fault_in_a_layout_file_is_told(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("mine.toml").write_text("title = 1\nstack = 2\n")
    with pytest.raises(Refused) as caught:
        read('[[passage]]\nbars = "1"\nlayout = "mine.toml"\n')
    wanted = "stands where text in quotes is wanted"
    assert str(caught.value) == (
        f'cue.toml:3: passage[1].layout: mine.toml:1: title: 1 {wanted}; write "1"\n'
        f'cue.toml:3: passage[1].layout: mine.toml:2: stack: 2 {wanted}; write "2"'
    )


@pytest.mark.parametrize("beats", ["0", "99"])
def test_both_ends_of_what_a_number_may_be_are_in_it(beats):
    assert passage(f'bars = "1"\nstack = "Vc"\npickup = {beats}').pickup == int(beats)


@pytest.mark.parametrize("beats", ["-0.5", "99.5"])
def test_what_lies_beyond_either_end_is_not(beats):
    with pytest.raises(Refused, match=f"pickup: {beats} is outside 0 to 99"):
        passage(f'bars = "1"\nstack = "Vc"\npickup = {beats}')


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (
            "cellos-alone",
            '"cellos-alone" is a layout, not a plan; name it with --layout',
        ),
        ("low.toml", "low.toml: this is a layout, not a plan; name it with --layout"),
        (
            "Vn I / Vc",
            'there is no plan called "Vn I / Vc"; name a stack with --layout',
        ),
        ("low", 'there is no plan called "low"; did you mean the file low.toml?'),
    ],
)
def test_what_is_no_plan(name, said, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("low.toml").write_text('stack = "Vc"\n')
    with pytest.raises(Refused) as caught:
        load_plan(name, symphonic())
    assert str(caught.value) == said


def test_a_plan_is_no_layout_of_a_passage():
    with pytest.raises(Refused) as caught:
        read('[[passage]]\nbars = "1"\nlayout = "harbour-arc"\n')
    assert str(caught.value) == (
        'cue.toml:3: passage[1].layout: "harbour-arc" is a plan, not a layout; '
        "a passage has a layout or a stack"
    )
