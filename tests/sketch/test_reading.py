"""Reading bars: what programs write that says nothing must not stop it."""

import pytest

import rewriter
from tests.shorthand import sketch


@pytest.mark.parametrize("move", ["backup", "forward"])
def test_a_move_by_nothing_is_no_fault(move: str) -> None:
    # music21's corpus has such moves, as in Schumann, op. 41 no. 1, last movement, bar 114.
    plain = sketch("4/4 | A4q B4q C5h |")
    marked = plain.replace(
        b"</note>", f"</note><{move}><duration>0</duration></{move}>".encode(), 1
    )
    assert marked != plain
    played, wanted = (rewriter.expand(data, "Vn I / Vc").score for data in (marked, plain))
    assert played.split(b"<part id=", 1)[1] == wanted.split(b"<part id=", 1)[1]


def test_a_move_by_no_number_is_refused_with_its_bar() -> None:
    plain = sketch("4/4 | A4q B4q C5h |")
    marked = plain.replace(b"</note>", b"</note><forward><duration>x</duration></forward>", 1)
    with pytest.raises(rewriter.Refused) as caught:
        rewriter.expand(marked, "Vn I / Vc")
    assert str(caught.value) == (
        'sketch: Flute, bar 1: a duration of "x" cannot be played; '
        "correct it in the sketch and export again"
    )
