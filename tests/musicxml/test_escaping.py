"""What is written can be read again: text becomes bytes of a score in one place."""

import ast
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

import rewriter
from rewriter.musicxml.escaping import attribute, escaped, quoted, word
from rewriter.problems import Refused
from tests.shorthand import sketch

PACKAGE = Path(rewriter.__file__).parent
WRITE_SCORES = ("musicxml", "scores", "sketch", "notating", "stands", "editing")
NO_PART_OF_A_SCORE = {
    "musicxml/saving.py": "digests",
    "musicxml/containers.py": "names and digests in a zip",
    "musicxml/packing.py": "names and figures in a zip",
    "musicxml/together.py": "names of files",
    "musicxml/stopped_runs.py": "names of files",
    "scores/score.py": "signs counted in the file's own encoding",
    "scores/text.py": "a whole file in another encoding",
    "editing/splicing.py": "a whole file in another encoding",
    "stands/part_heading.py": "file names",
}
"""Modules of these rooms in which text becomes bytes that are not written into a score."""


def encodings(path: Path) -> list[int]:
    """Lines on which text becomes bytes."""
    return [
        node.lineno
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if (isinstance(node, ast.Attribute) and node.attr in {"encode", "fsencode", "fromhex"})
        or (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Name)
            and node.func.id in {"bytes", "bytearray"}
            and len(node.args) + len(node.keywords) > 1
        )
    ]


def test_text_becomes_bytes_of_a_score_in_one_place() -> None:
    found = {
        path.relative_to(PACKAGE).as_posix(): encodings(path)
        for room in WRITE_SCORES
        for path in (PACKAGE / room).rglob("*.py")
    }
    places = {name for name, lines in found.items() if lines}
    assert places == {"musicxml/escaping.py", *NO_PART_OF_A_SCORE}


TEXTS = st.text() | st.text("<>&\"'\n\t\r]]>\0\x1b\x0e\ud800\ufffe \u0085\U0001f3bb")


@given(TEXTS)
def test_any_text_is_read_again_or_refused(text: str) -> None:
    try:
        written = b'<x a="%b"%b>%b</x>' % (quoted(text), attribute("b", text), escaped(text))
    except Refused:
        with pytest.raises(ValueError):  # noqa: PT011 - lxml finds several ways to say so
            etree.Element("x").text = text
        return
    read = etree.fromstring(written)
    assert read.text == (text.replace("\r\n", "\n").replace("\r", "\n") or None)
    assert read.get("a") == read.get("b") == text


@given(TEXTS)
def test_any_name_of_an_attribute_is_read_or_refused(name: str) -> None:
    try:
        written = attribute(name, "x")
    except Refused:
        return
    assert written.startswith(b" ")
    assert written.count(b'"') == 2
    assert b"<" not in written
    assert b">" not in written


@given(TEXTS)
def test_a_word_is_no_markup(text: str) -> None:
    try:
        written = word(text)
    except ValueError:
        return
    assert etree.fromstring(b"<x a='%b'>%b</x>" % (written, written)).get("a") == text


HOSTILE = (
    "&lt;a&gt;",
    "&amp;",
    "&quot;",
    "a&lt;/beam&gt;",
    "]]&gt;",
    "&#10;",
    "\u00e9\U0001f3bb",
)


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize(
    "added",
    [
        "<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration>"
        "<accidental>{0}</accidental><beam number='{0}'>{0}</beam><notations><fermata>{0}"
        "</fermata><slur type='start' number='{0}'/><tuplet type='start' number='{0}'/>"
        "</notations><lyric number='{0}'><text>{0}</text></lyric></note>",
        "<direction><direction-type><words>{0}</words></direction-type><voice>{0}</voice>"
        "</direction>",
        "<direction><direction-type><dashes type='start' number='{0}'/></direction-type>"
        "</direction><direction><direction-type><wedge type='crescendo' number='{0}'/>"
        "</direction-type></direction>",
        "<direction><direction-type><rehearsal>{0}</rehearsal></direction-type>"
        "<sound tempo='{0}' dacapo='{0}' {1}='{0}'/></direction>",
        "<barline location='right'><ending number='1' type='start'>{0}</ending>"
        "<fermata>{0}</fermata></barline>",
        "<harmony><root><root-step text='{0}'>C</root-step></root><kind text='{0}'>{0}</kind>"
        "</harmony>",
    ],
)
def test_what_a_sketch_says_in_the_ways_it_is_written_anew(added: str, text: str) -> None:
    """Where notes are cut, divided, cued: what a note said is written once more."""
    music = sketch("4/4 | C5q D5 E5h | r w | r w | (F5e) G5 A5q B5h |", tune="Melody").decode()
    music = music.replace("<note>", added.format(text, "segno") + "<note>", 1)
    music = music.replace('<measure number="2"', f'<measure number="{text}" xml:lang="{text}"')
    for layout in ("Vn I / Vla", "half Vn I 8va / half Vn I", "Vc 8vb + Vla"):
        try:
            made = rewriter.expand(music.encode(), layout, keep_harmony=True, keep_lyrics=True)
        except Refused:
            continue
        etree.fromstring(made.score)
        for part in rewriter.parts(made.score, cue_notes=1):
            etree.fromstring(part.data)


@pytest.mark.parametrize(
    "opening",
    [
        '<measure number="">', '<measure xml:lang="de">', '<measure xml:id="a b">',
        '<measure xmlns:a="urn:a" a:b="c" number="1">', '<measure number="&quot;&lt;">',
        '<measure number="1" xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="x&amp;y">',
        '<measure text="a&gt;b" number="1">', '<measure number="&#10;1">',
    ],
)  # fmt: skip
def test_attributes_of_a_bar(opening: str) -> None:
    text = sketch("4/4 | C4w | D4w |").decode()
    first = text.index("<measure")
    data = text[:first] + opening + text[text.index(">", first) + 1 :]
    try:
        made = rewriter.expand(data.encode(), "Vn I / Vla")
    except Refused:
        return
    etree.fromstring(made.score)
    for part in rewriter.parts(made.score):
        etree.fromstring(part.data)
