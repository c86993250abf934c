"""Children of elements put in and taken out; files and results written by hand."""

import pytest

from rewriter.editing.elements import found_in, text_in, with_child, with_only, without

NOTE = (
    b"<note \t x='a>b'>\r\n\t<!-- <staff> -->\r\n\t<rest/>\r\n\t<duration>4</duration>"
    b"\r\n\t<other-thing/>\r\n\t<!-- here --><notations>\r\n\t\t<fermata/>\r\n\t</notations>"
    b"\r\n</note >"
)


def test_a_child_stands_before_those_that_follow_it() -> None:
    made = with_child(NOTE, b"<staff>1</staff>")
    assert made == NOTE.replace(b"<notations>", b"<staff>1</staff><notations>")


def test_a_child_takes_line_and_indent_from_the_one_behind_it() -> None:
    made = with_child(NOTE, b"<cue/>")
    assert made == NOTE.replace(b"<rest/>", b"<cue/>\r\n\t<rest/>")


def test_the_last_child_takes_them_from_the_one_before() -> None:
    made = with_child(NOTE, b"<lyric/>")
    assert made == NOTE.replace(b"</notations>", b"</notations><lyric/>")
    both = with_child(made, b"<lyric/>")
    assert both == NOTE.replace(b"</notations>", b"</notations><lyric/><lyric/>")


@pytest.mark.parametrize("child", [b"<cue/>", b"<staff>1</staff>", b"<lyric/>", b"<dot/>"])
def test_a_child_put_in_and_taken_out_again_leaves_no_trace(child: bytes) -> None:
    tag = child[1:].split(b">")[0].strip(b"/").decode()
    assert without(with_child(NOTE, child), tag) == NOTE


def test_an_element_written_as_one_tag_is_opened() -> None:
    assert with_child(b"<note a='1' />", b"<rest/>") == b"<note a='1'><rest/></note>"
    assert with_child(b"<note></note>", b"<rest/>") == b"<note><rest/></note>"


def test_a_child_takes_the_place_of_all_that_are_called_like_it() -> None:
    note = b"<note><dot/> <dot x='1'/><staff>1</staff></note>"
    assert with_only(note, b"<dot/>") == b"<note><dot/><staff>1</staff></note>"


def test_what_holds_nothing_any_more_goes_too_but_never_a_comment() -> None:
    assert without(NOTE, "notations", "fermata") == NOTE.replace(
        b"<notations>\r\n\t\t<fermata/>\r\n\t</notations>", b""
    )
    said = NOTE.replace(b"<fermata/>", b"<fermata/><!-- long -->")
    assert without(said, "notations", "fermata") == said.replace(b"\r\n\t\t<fermata/>", b"")


def test_a_direction_without_a_type_is_none() -> None:
    one = b"<direction-type><words>dolce</words></direction-type>"
    two = b"<direction-type><dynamics><p/></dynamics></direction-type>"
    direction = b"<direction>" + one + two + b"<staff>1</staff></direction>"
    left = without(direction, "direction-type", "words")
    assert left == b"<direction>" + two + b"<staff>1</staff></direction>"
    assert without(left, "direction-type", "dynamics") == b""


def test_an_ornament_takes_its_accidentals_along() -> None:
    note = (
        b"<note><notations><ornaments><turn/><accidental-mark>flat</accidental-mark>"
        b"<trill-mark/> <accidental-mark>sharp</accidental-mark></ornaments></notations></note>"
    )
    assert without(note, "notations", "ornaments", "trill-mark") == note.replace(
        b"<trill-mark/> <accidental-mark>sharp</accidental-mark>", b""
    )
    assert without(note, "notations", "ornaments", "turn") == note.replace(
        b"<turn/><accidental-mark>flat</accidental-mark>", b""
    )


def test_only_what_is_wanted_goes() -> None:
    note = b'<note><beam number="1">end</beam><beam number="2">end</beam></note>'
    made = without(note, "beam", wanted=lambda beam: b'"2"' in beam)
    assert made == b'<note><beam number="1">end</beam></note>'
    assert without(note, "beam", wanted=lambda _: False) == note


def test_children_are_found_by_the_names_that_lead_to_them() -> None:
    assert found_in(NOTE, "notations", "fermata") == [b"<fermata/>"]
    assert found_in(NOTE, "notations", "slur") == []
    assert text_in(NOTE, "duration") == "4"
    assert text_in(NOTE, "staff") == ""
