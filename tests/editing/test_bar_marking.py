"""Signs put into bars at their moments; bars and results written by hand."""

from fractions import Fraction

import pytest

from rewriter.editing.bar_marking import bar_marked
from rewriter.editing.edits import InBar, bar_children, edited
from rewriter.editing.music import Sign
from rewriter.editing.note_marks import with_notation
from rewriter.scores.score import read_score
from tests.outside.schema import assert_valid

MARK = b"<direction><direction-type><dynamics><f/></dynamics></direction-type></direction>"
LOW = MARK.replace(b"</direction-type>", b"</direction-type><staff>2</staff>")
CLEF = b'<attributes><clef number="2"><sign>C</sign><line>3</line></clef></attributes>'
ATTRIBUTES = b"<attributes><divisions>2</divisions><staves>2</staves></attributes>"
END = b"<barline location='right'><bar-style>light-light</bar-style></barline>"
FORTH = b"<forward><duration>%d</duration></forward>"
BACK = b"<backup><duration>%d</duration></backup>"


def note(duration: int, staff: int = 1, first: bytes = b"", step: bytes = b"C") -> bytes:
    return (
        b"<note>%b<pitch><step>%b</step><octave>4</octave></pitch><duration>%d</duration>"
        b"<voice>%d</voice><staff>%d</staff></note>"
    ) % (first, step, duration, staff, staff)


UPPER = note(2) + note(2, first=b"<chord/>", step=b"E") + note(2, step=b"D")
LOWER = note(4, 2)
BAR = ATTRIBUTES + UPPER + BACK % 4 + LOWER + END


def file(bar: bytes) -> bytes:
    return (
        b"<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>A</part-name>"
        b"</score-part></part-list><part id='P1'><measure number='1'>" + bar
        + b"</measure></part></score-partwise>"
    )  # fmt: skip


def marked(*signs: tuple[Fraction | int, bytes], bar: bytes = BAR) -> bytes:
    given = [Sign(Fraction(onset), data) for onset, data in signs]
    score = read_score(file(bar))
    made = edited(score, bar_marked(score, InBar(0, 0), given))
    assert_valid(made)
    whole = file(b"@").split(b"@")
    assert made.startswith(whole[0])
    assert made.endswith(whole[1])
    return made[len(whole[0]) : -len(whole[1])]


def test_a_sign_stands_before_the_note_that_begins_with_it() -> None:
    assert marked((0, MARK)) == ATTRIBUTES + MARK + BAR[len(ATTRIBUTES) :]
    assert marked((1, MARK)) == BAR.replace(note(2, step=b"D"), MARK + note(2, step=b"D"))


def test_a_sign_stands_in_its_own_staff() -> None:
    assert marked((0, LOW), (0, CLEF)) == BAR.replace(LOWER, LOW + CLEF + LOWER)


def test_a_sign_at_the_end_stands_behind_the_last_note_of_its_staff() -> None:
    assert marked((2, CLEF)) == BAR.replace(END, CLEF + END)
    assert marked((2, MARK)) == BAR.replace(BACK % 4, MARK + BACK % 4)


def test_moves_lead_to_where_nothing_begins_and_back() -> None:
    half = Fraction(1, 2)
    assert marked((half, LOW)) == BAR.replace(LOWER, LOWER + BACK % 3 + LOW + FORTH % 3)


def test_a_moment_of_another_staff_will_do() -> None:
    assert marked((1, LOW)) == BAR.replace(note(2, step=b"D"), LOW + note(2, step=b"D"))


def test_a_silence_is_left_whole() -> None:
    own = b"<forward><!-- x --><duration>4</duration><voice>1</voice></forward>"
    assert marked((1, MARK), bar=ATTRIBUTES + own) == (
        ATTRIBUTES + FORTH % 2 + MARK + BACK % 2 + own
    )


def test_finer_divisions_are_declared_and_given_back() -> None:
    offset = LOW.replace(b"<staff>", b"<offset>1</offset><staff>")
    made = marked((Fraction(1, 3), offset))
    assert made.startswith(ATTRIBUTES.replace(b">2</divisions>", b">6</divisions>") + note(6))
    assert BACK % 10 + offset.replace(b">1<", b">3<") + FORTH % 10 in made
    assert made.endswith(b"<attributes><divisions>2</divisions></attributes>" + END)


def test_signs_and_changed_notes_are_told_at_once() -> None:
    score = read_score(file(BAR))
    where = InBar(0, 0)
    own = bar_children(score, where)
    accented = with_notation(own[5], b"<accent/>")
    signs = [Sign(Fraction(1, 3), LOW)]
    made = edited(score, bar_marked(score, where, signs, {5: accented, 3: b""}))
    assert accented.replace(b">4</duration>", b">12</duration>") in made
    assert note(6, step=b"D") not in made
    assert edited(score, bar_marked(score, where, (), {5: accented})) == file(
        BAR.replace(LOWER, accented)
    )


@pytest.mark.parametrize("onset", [-1, Fraction(9, 4)])
def test_a_moment_outside_the_bar_is_a_mistake_of_the_caller(onset: Fraction) -> None:
    with pytest.raises(ValueError, match="goes from 0 to 2"):
        marked((onset, MARK))
