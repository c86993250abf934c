"""Notes as bytes: their order by the schema, and octaves moved all at once."""

import pytest

from rewriter.musicxml.note_shapes import (
    OCTAVE_BYTES,
    Notation,
    NoteShape,
    OctaveUnwritable,
    joined_notations,
    settle,
)


def template(*octaves: int) -> bytes:
    return b"".join(b"<octave>%b</octave>" % OCTAVE_BYTES[octave] for octave in octaves)


@pytest.mark.parametrize("shift", range(-9, 10))
def test_all_octaves_move_together_or_not_at_all(shift: int) -> None:
    for octave in range(10):
        if 0 <= octave + shift <= 9:
            assert settle(template(octave), shift) == b"<octave>%d</octave>" % (octave + shift)
        else:
            with pytest.raises(OctaveUnwritable):
                settle(template(5 if 0 <= 5 + shift <= 9 else octave, octave), shift)


def test_text_is_left_alone() -> None:
    # no XML document holds the bytes that stand for octaves (XML 1.0, Char)
    text = "<words>1 2 3 \t\r\n Dämpfer 🎻</words>".encode()
    assert settle(text, 3) == text
    assert all(not byte[0] >= 0x20 and byte not in b"\t\r\n" for byte in OCTAVE_BYTES)


def whole() -> NoteShape:
    """A note with a child of every kind, given out of order."""
    shape = NoteShape()
    shape.length = 4
    shape.children = [
        (tag, b"<%b/>" % tag.encode())
        for tag in (
            "unknown", "play", "lyric", "beam", "notehead-text", "notehead",
            "time-modification", "dot", "type", "voice", "level", "footnote", "tie-start",
            "tie-stop", "duration", "grace",
        )
    ]  # fmt: skip
    shape.notations = [
        Notation("", "slur", "start", "1", b"<slur/>"),
        Notation("ornaments", "trill-mark", "", "1", b"<trill-mark/>"),
    ]
    return shape.finish()


def test_children_stand_in_the_order_of_the_schema() -> None:
    # W3C MusicXML 4.0, content model of <note>
    shape = whole()
    assert shape.start == b"<note><grace/>"
    assert shape.after_pitch == (
        b"<duration/><tie-stop/><tie-start/><footnote/><level/><voice/><type/><dot/>"
    )
    assert shape.after_accidental == (
        b"<time-modification/><notehead/><notehead-text/><beam/>"
        b"<notations><slur/><ornaments><trill-mark/></ornaments></notations>"
        b"<lyric/><play/><unknown/></note>\n"
    )


def test_a_copy_without_something_leaves_the_note_as_it_was() -> None:
    shape = whole()
    before = (shape.start, shape.after_pitch, shape.after_accidental)
    other = shape.derived(
        without={"tie-start"}, notations=[], beams=[("1", "begin")], chord=True
    )
    assert (shape.start, shape.after_pitch, shape.after_accidental) == before
    assert other.start == b"<note><grace/><chord/>"
    assert (other.starts_tie, other.stops_tie) == (False, True)
    assert b'<beam number="1">begin</beam>' in other.after_accidental
    assert b"<notations>" not in other.after_accidental


def test_a_rest_keeps_the_notes_place_in_the_rhythm() -> None:
    rest = whole().as_rest()
    assert rest.kind == "rest"
    assert rest.after_pitch == b"<duration/><voice/><type/><dot/>"
    assert rest.after_accidental == b"<time-modification/></note>\n"


def test_what_spans_is_summed_up() -> None:
    shape = NoteShape()
    shape.notations = [
        Notation("", "slur", "stop", "1", b"<a/>"),
        Notation("", "slur", "start", "1", b"<b/>"),
        Notation("", "slur", "start", "2", b"<c/>"),
    ]
    shape.finish()
    assert (len(shape.spans), shape.slurs) == (3, 1)
    shape.notations = [Notation("", "fermata", "upright", "1", b"<f/>")]
    shape.finish()
    assert (len(shape.spans), shape.slurs) == (0, 0)


def test_no_signs_no_notations() -> None:
    assert joined_notations([]) == b""
