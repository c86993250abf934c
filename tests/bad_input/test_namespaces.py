"""Names of a namespace anywhere in a sketch: what comes of it can be read, and has them."""

import pytest
from lxml import etree

import rewriter
from tests.shorthand import sketch

DECLARED = "xmlns:a='urn:a' xmlns:xlink='http://www.w3.org/1999/xlink'"
MUSIC = (
    sketch("4/4 key=1 | C5q (D5 E5) F5 | G5w |")
    .decode()
    .replace("<score-partwise", f"<score-partwise {DECLARED}", 1)
)
WORDS = "<direction><direction-type><words{}>dolce</words></direction-type></direction><note>"
PUT = {
    "an element": ("<note>", "<a:x>y</a:x><note>"),
    "an element of a note": ("<duration>", "<a:x/><duration>"),
    "an attribute of a bar": ("<measure ", "<measure a:x='1' "),
    "an attribute of a note": ("<note>", "<note a:x='1'>"),
    "an attribute of a pitch": ("<step>", "<step a:x='1'>"),
    "an attribute of a length": ("<duration>", "<duration a:x='1'>"),
    "an attribute of a key": ("<key>", "<key a:x='1'>"),
    "an attribute of divisions": ("<divisions>", "<divisions a:x='1'>"),
    "an attribute of a slur": ("<slur ", "<slur a:x='1' "),
    "an attribute of words": ("<note>", WORDS.format(" a:x='1'")),
    "an attribute of a sound": ("<note>", "<direction><direction-type><words>dolce</words>"
                                "</direction-type><sound a:x='1' tempo='90'/></direction>"
                                "<note>"),
    "one of its own": ("<note>", WORDS.format(" xmlns:b='urn:b' b:x='1'")),
    "a link": ("<note>", "<link xlink:href='x.html'/><note>"),
    "a chord symbol": (
        "<note>",
        "<harmony a:x='1'><root a:y='1'><root-step>C</root-step></root><kind a:x='1'>major"
        "</kind></harmony><note>",
    ),
    "a barline": ("<note>", "<barline a:x='1'><bar-style a:x='1'>dashed</bar-style></barline>"
                  "<note>"),
}  # fmt: skip
LOST = {"an attribute of a bar", "an attribute of a pitch", "an attribute of a length",
        "an attribute of divisions", "an attribute of a sound"}  # fmt: skip
"""What a score says anew. A slur and a note are copied with all they have."""


@pytest.mark.parametrize("keep_sketch", [False, True])
@pytest.mark.parametrize("name", PUT)
def test_names_of_a_namespace(name: str, keep_sketch: bool) -> None:  # noqa: FBT001 - pytest
    text = MUSIC.replace(*PUT[name], 1)
    assert text != MUSIC
    made = rewriter.expand(
        text.encode(), "Vn I / Vla", keep_harmony=True, keep_sketch=keep_sketch
    )
    root = etree.fromstring(made.score)
    of_spaces = root.xpath("//part//*[namespace-uri()] | //part//@*[namespace-uri()]")
    assert bool(of_spaces) == (keep_sketch or name not in LOST)
    for score in (made.score, text.encode()):
        for part in rewriter.parts(score, cue_notes=1):
            etree.fromstring(part.data)


def test_an_id_that_only_one_element_may_have() -> None:
    """A line is written for several sections; two ``xml:id`` alike are no XML."""
    text = sketch("4/4 | C5q (D5 E5) F5 | G5w |").decode()
    for count, tag in enumerate(
        ("measure ", "note>", "slur ", "pitch>", "time>", "divisions>")
    ):
        text = text.replace(f"<{tag}", f"<{tag[:-1]} xml:id='i{count}'{tag[-1]}", 1)
    etree.fromstring(text.encode())
    made = rewriter.expand(text.encode(), "Vn I + Vn II / Vla", keep_sketch=True)
    etree.fromstring(made.score)


@pytest.mark.parametrize("said", ["x='1'", "xml:lang='de'", "xml:id='p'"])
@pytest.mark.parametrize("tag", ["note", "pitch", "step", "octave", "voice", "type"])
def test_no_note_is_lost_for_an_attribute(tag: str, said: str) -> None:
    text = sketch("4/4 | C5q D5 E5h | F5w |").decode()
    spoiled = text.replace(f"<{tag}>", f"<{tag} {said}>", 1).encode()
    made = rewriter.expand(spoiled, "Vc")
    assert made.score.count(b"</pitch>") == text.count("</pitch>")
