"""Signs put on notes and taken off; results written by hand."""

import pytest

from rewriter.editing.note_marks import (
    with_accidental,
    with_notation,
    with_tie,
    without_notations,
    without_tie,
)

PLAIN = (
    b"<note>\n  <pitch><step>C</step><octave>4</octave></pitch>\n  <duration>2</duration>"
    b"\n  <!-- x -->\n  <staff>1</staff>\n</note>"
)
HELD = b"<note>%b<notations><technical><up-bow/></technical></notations></note>"


def test_a_family_is_made_once() -> None:
    note = with_notation(with_notation(PLAIN, b"<staccato/>"), b"<accent/>")
    assert note == PLAIN.replace(
        b"</staff>",
        b"</staff>\n  <notations><articulations><staccato/><accent/></articulations>"
        b"</notations>",
    )


def test_another_family_stands_beside_it() -> None:
    note = with_notation(HELD % b"", b"<staccato/>")
    assert b"</technical><articulations><staccato/></articulations></notations>" in note
    assert without_notations(note, "staccato") == HELD % b""


@pytest.mark.parametrize("sign", ["staccato", "down-bow", "trill-mark", "fermata"])
def test_a_sign_put_on_and_taken_off_leaves_no_trace(sign: str) -> None:
    for note in (PLAIN, HELD % b"<rest/>"):
        assert without_notations(with_notation(note, b"<%b/>" % sign.encode()), sign) == note


def test_one_end_of_a_slur_goes_and_the_other_stays() -> None:
    both = with_notation(
        with_notation(PLAIN, b"<slur type='stop' number='1'/>"), b"<slur type='start'/>"
    )
    made = without_notations(both, "slur", lambda slur: b"start" in slur)
    assert made == with_notation(PLAIN, b"<slur type='stop' number='1'/>")


def test_an_accidental_takes_the_place_of_another() -> None:
    flat = with_accidental(PLAIN, b"<accidental>flat</accidental>")
    assert flat == PLAIN.replace(b"<staff>", b"<accidental>flat</accidental>\n  <staff>")
    natural = with_accidental(flat, b"<accidental>natural</accidental>")
    assert natural == flat.replace(b"flat", b"natural")
    assert with_accidental(natural, b"") == PLAIN


def test_a_tie_is_heard_and_drawn_and_begins_once() -> None:
    tied = with_tie(PLAIN, "start")
    assert tied == PLAIN.replace(b"<staff>", b'<tie type="start"/>\n  <staff>').replace(
        b"</staff>", b'</staff>\n  <notations><tied type="start"/></notations>'
    )
    assert with_tie(tied, "start") == tied
    assert without_tie(tied, "start") == PLAIN


def test_the_other_end_of_a_tie_stays() -> None:
    both = with_tie(with_tie(PLAIN, "stop"), "start")
    assert without_tie(both, "start") == with_tie(PLAIN, "stop")
    assert without_tie(both, "stop") == with_tie(PLAIN, "start")


def test_an_end_is_known_in_any_quotes() -> None:
    note = b"<note><tie  type = 'start'/><notations><tied type='start'/></notations></note>"
    assert with_tie(note, "start") == note
    assert without_tie(note, "start") == b"<note></note>"
