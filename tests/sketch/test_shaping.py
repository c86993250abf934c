"""What of a ``<note>`` goes into the lines, what is left behind, and what it is counted as."""

import re

import pytest

import rewriter
from rewriter.musicxml.note_shapes import NoteShape
from rewriter.scores.notes import read_form
from rewriter.sketch.shaping import ShapeReader
from tests.outside.schema import assert_valid
from tests.plain_xml import bar_of, first_violins, note, score, text_of


def shape_of(written: str, length: int = 0, *, keep_lyrics: bool = False) -> NoteShape:
    return ShapeReader(keep_lyrics=keep_lyrics).read(read_form(written.encode()), length)


def played(written: str) -> str:
    """The first note of the first violins."""
    made = rewriter.expand(score([bar_of(written)]), "Vn I loco")
    assert_valid(made.score)
    return text_of(first_violins(made).find(".//note"))  # type: ignore[arg-type]  # there is one


def notations(inner: str) -> str:
    return note("A4", 8, f"<notations>{inner}</notations>")


@pytest.mark.parametrize(
    ("inner", "kind"),
    [
        ('<slur type="start"/>', "slurs"),
        ('<tied type="start"/>', "ties"),
        ('<tuplet type="start"/>', "tuplets"),
        ("<fermata>angled</fermata>", "fermatas"),
        ("<fermata/>", "fermatas"),
        ("<dynamics><f/></dynamics>", "dynamics"),
        ("<arpeggiate/>", "arpeggios"),
        ('<non-arpeggiate type="top"/>', "other notations"),
        ('<glissando type="start"/>', "glissandi"),
        ('<slide type="start"/>', "slides"),
        ('<other-notation type="single">x</other-notation>', "other notations"),
        ("<articulations><staccato/></articulations>", "articulations"),
        ("<articulations><breath-mark/></articulations>", "articulations"),
        ("<ornaments><trill-mark/></ornaments>", "ornaments"),
        ("<ornaments><tremolo>3</tremolo></ornaments>", "tremolos"),
        ('<ornaments><wavy-line type="start"/></ornaments>', "trill lines"),
        ("<technical><up-bow/></technical>", "technical"),
    ],
)
def test_what_is_carried_is_counted_by_kind(inner: str, kind: str) -> None:
    shape = shape_of(notations(inner))
    assert shape.carried == [kind]
    assert shape.dropped == []
    assert inner in shape.after_accidental.decode()


@pytest.mark.parametrize(
    ("inner", "kind"),
    [
        ("<fingering>2</fingering>", "fingerings"),
        ("<thumb-position/>", "fingerings"),
        ("<pluck>p</pluck>", "fingerings"),
        ('<hammer-on type="start">H</hammer-on>', "fingerings"),
        ('<pull-off type="start">P</pull-off>', "fingerings"),
        ("<string>3</string>", "string numbers"),
        ("<fret>3</fret>", "string numbers"),
    ],
)
def test_what_no_longer_holds_on_other_strings_is_left_behind(inner: str, kind: str) -> None:
    shape = shape_of(notations(f"<technical>{inner}<up-bow/></technical>"))
    assert shape.dropped == [kind]
    assert b"<technical><up-bow/></technical>" in shape.after_accidental


@pytest.mark.parametrize(
    ("child", "kind"),
    [
        ("<stem>up</stem>", "stems"),
        ('<instrument id="P1-I1"/>', "instrument references"),
        ("<listen><assess type='no'/></listen>", "listening marks"),
        ("<lyric><text>la</text></lyric>", "lyrics"),
    ],
)
def test_what_belongs_to_the_sketchs_page_is_left_behind(child: str, kind: str) -> None:
    shape = shape_of(note("A4", 8, child))
    assert shape.dropped == [kind]
    assert child.encode() not in shape.after_accidental


def test_lyrics_stay_on_request() -> None:
    lyric = '<lyric number="1"><text>la</text></lyric>'
    shape = shape_of(note("A4", 8, lyric), keep_lyrics=True)
    assert shape.carried == ["lyrics"]
    assert lyric.encode() in shape.after_accidental


@pytest.mark.parametrize(
    "child",
    [
        "<notehead>diamond</notehead>",
        "<play><mute>straight</mute></play>",
        '<beam number="1" fan="accel">begin</beam>',
    ],
)
def test_what_the_tool_need_not_understand_is_carried(child: str) -> None:
    assert child in played(note("A4", 8, child))


def test_attributes_of_a_note_are_carried() -> None:
    written = note("A4", 8).replace("<note>", '<note dynamics="81.5" pizzicato="yes">')
    assert played(written).startswith('<note dynamics="81.5" pizzicato="yes">')


def test_editorial_remarks_come_first_and_once() -> None:
    # W3C MusicXML 4.0, <notations>: one footnote and one level before everything else
    two = (
        "<notations><slur type='start'/></notations>"
        "<notations><footnote>x</footnote><level>y</level><fermata/></notations>"
        "<notations><footnote>z</footnote><fermata type='inverted'/></notations>"
    )
    bars = [
        bar_of(note("A4", 8, two)),
        note("A4", 8, "<notations><slur type='stop'/></notations>"),
    ]
    made = rewriter.expand(score(bars), "Vn I loco")
    assert_valid(made.score)
    said = text_of(first_violins(made).find(".//notations"))  # type: ignore[arg-type]  # there is one
    assert re.findall("<([a-z]+)", said) == [
        "notations", "footnote", "level", "slur", "fermata", "fermata",
    ]  # fmt: skip


def test_families_in_several_elements_are_one() -> None:
    written = notations(
        "<articulations><accent/></articulations><articulations><staccato/></articulations>"
    )
    assert "<articulations><accent/><staccato/></articulations>" in played(written)


def test_the_side_of_a_sign_goes_where_stems_decide() -> None:
    shape = shape_of(
        notations(
            '<slur type="start" placement="above" orientation="over"/>'
            '<articulations><accent placement="above"/></articulations>'
            '<ornaments><trill-mark placement="above"/></ornaments>'
        )
    )
    assert shape.dropped == ["sides of slurs, ties and articulations"] * 3
    assert b'<trill-mark placement="above"/>' in shape.after_accidental
    assert shape.after_accidental.count(b"placement") == 1


@pytest.mark.parametrize(
    ("heard", "drawn"),
    [("start", ""), ("", "start"), ("start", "start")],
)
def test_a_tie_is_heard_and_drawn(heard: str, drawn: str) -> None:
    # W3C MusicXML 4.0: <tie> is sound, <tied> notation; where one stands alone both are meant
    tie = f'<tie type="{heard}"/>' if heard else ""
    tied = f'<notations><tied type="{drawn}"/></notations>' if drawn else ""
    shape = shape_of(note("A4", 8, tied).replace("</duration>", f"</duration>{tie}"))
    assert shape.starts_tie
    assert b'<tie type="start"/>' in shape.after_pitch
    assert shape.after_accidental.count(b'<tied type="start"/>') == 1


def test_a_note_that_only_rings_on_is_not_tied() -> None:
    shape = shape_of(notations('<tied type="let-ring"/>'))
    assert not shape.starts_tie
    assert b"let-ring" in shape.after_accidental


def test_the_end_of_a_tie_comes_before_the_next() -> None:
    # W3C MusicXML 4.0 orders stop before start on one note
    ties = '<tie type="start"/><tie type="stop"/>'
    shape = shape_of(note("A4", 8).replace("</duration>", f"</duration>{ties}"))
    assert shape.after_pitch.index(b"stop") < shape.after_pitch.index(b"start")


def test_an_element_within_its_like_is_not_cut_in_the_middle() -> None:
    inner = '<other-play type="x">a</other-play><other-play type="y">b</other-play>'
    written = note("A4", 8, f"<play>{inner}</play><listen/>")
    assert shape_of(written).after_accidental.count(b"other-play") == 4


def test_a_grace_note_has_no_length() -> None:
    shape = shape_of(note("A4", 0, before='<grace slash="yes" steal-time-previous="20"/>'))
    assert (shape.grace, shape.length) == (True, 0)
    assert b'<grace slash="yes" steal-time-previous="20"/>' in shape.start
    assert b"duration" not in shape.after_pitch
