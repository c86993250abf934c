"""Numbers no music has, wherever a file may hold one: read, or refused in one line.

The reader of XML gives them as text. Python itself would read some of them for ever, and
stumble over others.
"""

import re

import pytest
from lxml import etree

import rewriter
from rewriter.problems import Refused
from rewriter.rulefiles.layout_files import layout_from_text
from rewriter.rulefiles.plan_files import plan_from_text
from rewriter.rulefiles.shelf import shipped_folder
from rewriter.rulefiles.stack import parse_stack
from rewriter.rulefiles.stack_text import StackFault
from tests.property.test_no_input_breaks_it import coming_to_an_end
from tests.rulefiles.strings import symphonic
from tests.shorthand import sketch

DIGITS = "9" * 5000
NUMBERS = ("1e99999999", "1e-99999999", DIGITS, f"-{DIGITS}", f"0.{DIGITS}", "nan", "inf",
           "1_0", "\u0664", "0x10")  # fmt: skip
MUSIC = sketch(
    "2/4 key=1 transpose=-1,-2 | C5q D5 | E5h |", others={"Oboe": "2/4 | D5q E5 | C5h |"}
).decode()
REPLACED = ("duration", "divisions", "beats", "beat-type", "fifths", "chromatic", "diatonic",
            "octave", "voice")  # fmt: skip
ADDED = (
    "<backup><duration>{}</duration></backup>",
    "<forward><duration>{}</duration></forward>",
    "<attributes><staves>{}</staves></attributes>",
    "<attributes><clef><sign>G</sign><line>{0}</line><clef-octave-change>{0}"
    "</clef-octave-change></clef></attributes>",
    "<attributes><key><cancel>{}</cancel><fifths>1</fifths></key></attributes>",
    "<attributes><key><key-step>C</key-step><key-alter>{}</key-alter></key></attributes>",
    "<attributes><measure-style><multiple-rest>{}</multiple-rest></measure-style></attributes>",
    "<direction><direction-type><words>dolce</words></direction-type><offset>{}</offset>"
    "</direction>",
    "<direction><direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>{0}"
    "</per-minute></metronome></direction-type><sound tempo='{0}'/></direction>",
    "<direction><direction-type><wedge type='crescendo' number='{0}'/></direction-type>"
    "<staff>{0}</staff></direction>",
    "<barline location='right'><ending number='{0}' type='start'/><repeat times='{0}' "
    "direction='backward'/></barline>",
    "<harmony><root><root-step>C</root-step><root-alter>{0}</root-alter></root><kind>major"
    "</kind><degree><degree-value>{0}</degree-value><degree-alter>{0}</degree-alter>"
    "<degree-type>add</degree-type></degree><offset>{0}</offset></harmony>",
    "<note><pitch><step>C</step><alter>{0}</alter><octave>4</octave></pitch><duration>1"
    "</duration><voice>{0}</voice><time-modification><actual-notes>{0}</actual-notes>"
    "<normal-notes>{0}</normal-notes></time-modification><staff>{0}</staff></note>",
    "<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration>"
    "<beam number='{0}'>begin</beam><notations><slur type='start' number='{0}'/>"
    "<tuplet type='start' number='{0}'/></notations></note>",
)


def tried(data: str, **settings: str) -> None:
    """Expanded into what can be read, with parts; or refused in one line of bearable length."""
    said = ""
    with coming_to_an_end():
        try:
            made = rewriter.expand(data.encode(), "Vn I / Vla", keep_harmony=True, **settings)
        except Refused as refused:
            said = str(refused)
        else:
            etree.fromstring(made.score)
            for part in rewriter.parts(made.score, cue_notes=1):
                etree.fromstring(part.data)
    assert "\n" not in said
    assert len(said) < 400, said
    assert "int_max_str_digits" not in said


@pytest.mark.parametrize("number", NUMBERS, ids=lambda number: number[:12])
@pytest.mark.parametrize("tag", REPLACED)
def test_in_place_of_a_number(tag: str, number: str) -> None:
    text, count = re.subn(f"<{tag}>[^<]*</{tag}>", f"<{tag}>{number}</{tag}>", MUSIC, count=1)
    assert count == 1
    tried(text, tune="P1")


@pytest.mark.parametrize("number", NUMBERS, ids=lambda number: number[:12])
@pytest.mark.parametrize("added", ADDED, ids=lambda added: added.split(">")[0][1:])
def test_in_something_added(added: str, number: str) -> None:
    tried(MUSIC.replace("<note>", added.format(number) + "<note>", 1), tune="P1")


@pytest.mark.parametrize("number", NUMBERS, ids=lambda number: number[:12])
def test_printed_above_a_bar_and_asked_for(number: str) -> None:
    tried(MUSIC.replace('<measure number="1"', f'<measure number="{number}"'), tune="P1")
    tried(MUSIC, tune=f"P1 staff {number}")


STACKS = ("desk {} Vn I", "desks {0}-{0} Vn I", "Vn I octave +{}", "Vn I octave {}", "Vn {}")


@pytest.mark.parametrize("number", NUMBERS, ids=lambda number: number[:12])
@pytest.mark.parametrize("stack", STACKS)
def test_in_a_stack(stack: str, number: str) -> None:
    with pytest.raises(StackFault) as caught:
        parse_stack(stack.format(number), symphonic())
    assert len(str(caught.value)) < 600
    assert "int_max_str_digits" not in str(caught.value)


SETTINGS = (
    '[[passage]]\nbars = "1"\nstack = "Vc"\npickup = {}',
    '[[passage]]\nbars = {}\nstack = "Vc"',
    '[[passage]]\nfrom = "1"\nto = "2 beat {}"\nstack = "Vc"',
    '[[passage]]\nbars = "{}"\nstack = "Vc"',
    '[[passage]]\nbars = "1"\nstack = "Vc"\noctave = "octave {}"',
    "[[passage]]\nwhatever = {}",
)


@pytest.mark.parametrize("number", [*NUMBERS, f"0x{'f' * 9000}"], ids=lambda text: text[:12])
@pytest.mark.parametrize("text", SETTINGS)
def test_in_a_rule_file(text: str, number: str) -> None:
    """Read, as nobody knows yet which bars there are; or each fault is told."""
    with coming_to_an_end():
        try:
            plan_from_text(text.format(number), "x.toml", symphonic(), folder=shipped_folder())
        except Refused as refused:
            for line in str(refused).split("\n"):
                assert re.match(r"x\.toml:\d+: \S", line)
                assert len(line) < 400
                assert "int_max_str_digits" not in line


def test_a_number_of_thousands_of_digits_is_told_with_its_row() -> None:
    with pytest.raises(Refused) as caught:
        layout_from_text(f'title = "x"\nstack = {DIGITS}', "x.toml", symphonic())
    assert str(caught.value) == (
        "x.toml:2: this row is longer than 1000 characters; break it into several"
    )
