"""Opening: every container and encoding gives the same score, and nothing else gets through."""

import copy
import hashlib
import os
import socket
import threading
from pathlib import Path

import music21
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from lxml import etree

from rewriter.musicxml.opening import partwise_root, read_source
from rewriter.problems import Refused
from rewriter.scores.score import Score, read_score
from rewriter.texts import printable
from tests.bad_input.cases import (
    CASES,
    CONTAINER,
    MEDIA_TYPE,
    SOUND,
    bomb,
    rootfile,
    with_doctype,
    zipped,
)
from tests.outside.reference import heard_by_reference
from tests.outside.schema import assert_valid
from tests.shorthand import sketch

TITLE = "Über die Fähre, café"

ENCODINGS = {
    "UTF-8": ("UTF-8", "utf-8"),
    "UTF-8 with a mark": ("UTF-8", "utf-8-sig"),
    "UTF-16 with a mark": ("UTF-16", "utf-16"),
    "UTF-16 little end first": ("UTF-16", "utf-16-le"),
    "UTF-16 big end first": ("UTF-16", "utf-16-be"),
    "UTF-16 marked, declared as UTF-8": ("UTF-8", "utf-16"),
    "UTF-8 declared as UTF-16": ("UTF-16", "utf-8"),
    "Latin-1": ("ISO-8859-1", "latin-1"),
    "Windows-1252": ("windows-1252", "cp1252"),
    "Macintosh": ("macintosh", "mac-roman"),
}


def root_of(source: str | Path | bytes | etree._Element | etree._ElementTree) -> etree._Element:
    """A score as one tree."""
    read = read_source(source)
    return partwise_root(read.data, read.name)


def _packed(data: bytes, container: str) -> bytes:
    score, listed = ("lantern.musicxml", data), (CONTAINER, rootfile("lantern.musicxml"))
    decoy = ("another.xml", b"<opus/>")
    return {
        "plain": lambda: data,
        "as the standard says": lambda: zipped(
            ("mimetype", MEDIA_TYPE.encode()), listed, decoy, score
        ),
        "from before 3.1": lambda: zipped(listed, decoy, score),
        "container last": lambda: zipped(decoy, score, listed),
        "no container": lambda: zipped(("__MACOSX/x.xml", b"x"), score),
    }[container]()


CONTAINERS = (
    "plain",
    "as the standard says",
    "from before 3.1",
    "container last",
    "no container",
)


@pytest.mark.parametrize("container", CONTAINERS)
@pytest.mark.parametrize("encoding", ENCODINGS)
def test_every_encoding_in_every_container(
    encoding: str, container: str, tmp_path: Path
) -> None:
    declared, used = ENCODINGS[encoding]
    text = SOUND.decode().replace("Ferry at dusk", TITLE).replace("UTF-8", declared)
    data = text.encode(used)
    path = tmp_path / "lantern.score"  # the content decides, not the suffix
    path.write_bytes(_packed(data, container))
    assert root_of(path).findtext("movement-title") == TITLE
    assert len(root_of(path).findall("part/measure/note")) == 5
    opened = read_score(path)
    assert opened.name == str(path)
    assert opened.digest == hashlib.sha256(data).hexdigest()


@pytest.mark.parametrize("version", ["1.0", "1.1", "2.0", "3.0", "3.1", "4.0", None])
def test_every_version(version: str | None) -> None:
    said = f' version="{version}"' if version else ""
    data = SOUND.replace(b' version="4.0"', said.encode())
    assert root_of(data).get("version") == version


@pytest.mark.parametrize("name", ["tune.musicxml", "tune.xml", "tune.XML", "tune", "tune.mxl"])
def test_plain_xml_under_any_name(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(SOUND)
    assert root_of(path).tag == "score-partwise"
    assert read_score(str(path)).name == str(path)


def test_a_name_in_utf8_that_the_zip_does_not_announce() -> None:
    # As some zip writers do it: the bytes are UTF-8, flag 11 (PKWARE APPNOTE 4.4.4) is not set.
    listed = rootfile("tune-\N{LATIN SMALL LETTER E WITH ACUTE}.xml")
    data = zipped((CONTAINER, listed), ("tune-??.xml", SOUND))
    data = data.replace(b"tune-??.xml", "tune-é.xml".encode())
    assert root_of(data).tag == "score-partwise"


def test_a_pipe(tmp_path: Path) -> None:
    path = tmp_path / "pipe"
    os.mkfifo(path)
    writer = threading.Thread(target=path.write_bytes, args=(SOUND,))
    writer.start()
    assert root_of(path).tag == "score-partwise"
    writer.join()


def test_an_empty_line_before_the_declaration() -> None:
    assert root_of(b"\n\r\n" + SOUND).tag == "score-partwise"
    with pytest.raises(Refused) as caught:
        read_score(b"\n\n" + SOUND.replace(b"</score-partwise>", b""))
    assert str(caught.value) == (
        "sketch: line 5: the file breaks off here;"
        " export the score again from the notation program"
    )


def test_comments_and_blanks_are_left_out_and_counted() -> None:
    data = SOUND.replace(b"<part id", b"<!-- tune -->\n<?page 1?>\n  <part id")
    assert read_score(data).asides == 2
    assert etree.tostring(root_of(data)) == etree.tostring(root_of(SOUND))
    wide = data.decode().replace("UTF-8", "UTF-16").encode("utf-16")
    assert read_score(wide).asides == 2
    assert read_score(SOUND).asides == 0


def test_a_blank_that_is_text_stays() -> None:
    data = SOUND.replace(b"Ferry at dusk", b" ")
    assert root_of(data).findtext("movement-title") == " "


def test_entities_of_the_file_itself_and_by_number() -> None:
    data = with_doctype('<!ENTITY bell "Glocke">', "&bell; &amp; &#201;cho &#x1D11E;")
    assert root_of(data).findtext("movement-title") == "Glocke & Écho 𝄞"


# ---- trees


def test_a_tree_and_its_root_are_read_and_not_changed() -> None:
    tree = etree.ElementTree(etree.fromstring(b"<!--a-->" + SOUND.split(b"\n", 1)[1]))
    before = etree.tostring(tree)
    kept = copy.deepcopy(tree)
    for source in (tree, tree.getroot()):
        assert read_score(source).name == "sketch"
        root_of(source).clear()
        assert etree.tostring(tree) == before == etree.tostring(kept)


def test_a_tree_with_its_own_entities() -> None:
    parser = etree.XMLParser(resolve_entities=False)
    root = etree.fromstring(with_doctype('<!ENTITY bell "Glocke">', "&bell;"), parser)
    assert root_of(root).findtext("movement-title") == "Glocke"


def test_a_score_inside_a_larger_tree() -> None:
    shelf = etree.Element("shelf")
    shelf.append(etree.fromstring(SOUND))
    shelf[0].tail = "after it"
    assert root_of(shelf[0]).tag == "score-partwise"
    assert shelf[0].tail == "after it"


def test_trees_that_are_no_score() -> None:
    with pytest.raises(Refused) as caught:
        read_score(etree.Element("drawing"))
    assert str(caught.value) == (
        "sketch: the file begins with <drawing>, which is not MusicXML;"
        " export the score as MusicXML from the notation program"
    )
    with pytest.raises(Refused) as caught:
        read_score(etree.ElementTree())
    assert str(caught.value) == (
        "sketch: the tree is empty; export the score as MusicXML from the notation program"
    )


# ---- sorted by bars

BY_BARS = etree.XSLT(
    etree.XML("""
<xsl:stylesheet version="1.0" xmlns:xsl="http://www.w3.org/1999/XSL/Transform">
  <xsl:template match="/score-partwise">
    <score-timewise>
      <xsl:copy-of select="@* | *[not(self::part)]"/>
      <xsl:for-each select="part[1]/measure">
        <xsl:variable name="at" select="position()"/>
        <measure>
          <xsl:copy-of select="@*"/>
          <xsl:for-each select="/score-partwise/part">
            <part><xsl:copy-of select="@* | measure[$at]/node()"/></part>
          </xsl:for-each>
        </measure>
      </xsl:for-each>
    </score-timewise>
  </xsl:template>
</xsl:stylesheet>""")
)
"""Turns a score by parts into one by bars, in a language of its own; no bar may be missing."""


def _canonical(root: etree._Element) -> bytes:
    return etree.tostring(root, method="c14n")


def test_sorted_by_bars_is_the_same_score() -> None:
    parts = sketch("4/4 | C4w | D4w |", others={"Oboe": "4/4 | E4w | F4w |"}, title="Two")
    by_bars = etree.tostring(BY_BARS(etree.fromstring(parts)))
    assert_valid(by_bars)
    assert _canonical(root_of(by_bars)) == _canonical(root_of(parts))


@pytest.mark.parametrize("piece", ["bach/bwv66.6", "schoenberg/opus19/movement2"])
def test_music21_hears_the_same_from_a_score_sorted_by_bars(piece: str) -> None:
    # music21's own corpus and reader; it reads scores by parts alone.
    path = music21.corpus.getWork(piece)
    parts = root_of(path)
    bars = etree.tostring(BY_BARS(parts))
    assert bars.startswith(b"<score-timewise")
    turned = etree.tostring(root_of(bars))
    assert heard_by_reference(turned) == heard_by_reference(etree.tostring(parts))

    def heard(data: bytes) -> list[tuple[object, ...]]:
        score = music21.converter.parseData(data.decode(), format="musicxml")
        return [
            (part.id, float(note.offset), float(note.quarterLength), pitch.midi)
            for part in score.parts
            for note in part.flatten().notes
            for pitch in note.pitches
        ]

    assert heard(turned) == heard(etree.tostring(parts))
    assert heard(turned)


def test_parts_in_another_order_and_missing_from_bars() -> None:
    def bar(number: int, *parts: str) -> str:
        body = "".join(f'<part id="{one}"><note id="{one}-{number}"/></part>' for one in parts)
        return f'<measure number="{number}" id="m{number}" width="90">{body}</measure>'

    listed = '<score-part id="P1"/><score-part id="P2"/><score-part id="P9"/>'
    score = (
        f'<score-timewise version="3.1"><part-list>{listed}</part-list>'
        f"{bar(1, 'P2', 'X', 'P1')}{bar(2, 'P1')}{bar(3, 'P1', 'P2')}</score-timewise>"
    )
    root = root_of(score.encode())
    assert (root.tag, root.get("version")) == ("score-partwise", "3.1")
    assert [
        [[note.get("id") for note in bar] for bar in part] for part in root.findall("part")
    ] == [
        [["P1-1"], ["P1-2"], ["P1-3"]],
        [["P2-1"], [], ["P2-3"]],
        [["X-1"], [], []],
    ]
    assert [part.get("id") for part in root.findall("part")] == ["P1", "P2", "X"]
    bars = root.findall("part/measure")
    assert [bar.get("number") for bar in bars] == ["1", "2", "3"] * 3
    assert [bar.get("width") for bar in bars] == ["90"] * 9
    assert [bar.get("id") for bar in bars] == ["m1", "m2", "m3", *[None] * 6]


# ---- nothing from outside


def test_nothing_is_fetched_from_the_network() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0)
        url = f"http://127.0.0.1:{server.getsockname()[1]}/partwise.dtd"
        public = f'<!DOCTYPE score-partwise PUBLIC "-//Demo//DTD" "{url}">'
        data = SOUND.replace(b"<score-partwise", f"{public}<score-partwise".encode(), 1)
        assert root_of(data).findtext("movement-title") == "Ferry at dusk"
        for declared in (f'<!ENTITY far SYSTEM "{url}">', f'<!ENTITY % far SYSTEM "{url}">'):
            use = "%far;" if "%" in declared else ""
            with pytest.raises(Refused):
                read_score(with_doctype(declared + use, "&far;"))
        with pytest.raises(BlockingIOError):
            server.accept()


def test_no_document_type_is_read_from_disk(tmp_path: Path) -> None:
    types = tmp_path / "partwise.dtd"
    types.write_text('<!ATTLIST score-partwise spy CDATA "seen">')
    public = f'<!DOCTYPE score-partwise SYSTEM "{types}">'
    data = SOUND.replace(b"<score-partwise", f"{public}<score-partwise".encode(), 1)
    assert root_of(data).get("spy") is None
    # The bait is good: read with the document type, the same bytes do show it.
    baited = etree.fromstring(data, etree.XMLParser(load_dtd=True, attribute_defaults=True))
    assert baited.get("spy") == "seen"


def test_nothing_from_a_zip_lands_on_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    data = zipped((CONTAINER, rootfile("../../out.xml")), ("../../out.xml", SOUND))
    assert root_of(data).tag == "score-partwise"
    assert list(tmp_path.iterdir()) == []


def test_a_large_score_is_not_a_bomb() -> None:
    bars = b'<measure number="1"><note><rest measure="yes"/><duration>4</duration></note>'
    bars += b"</measure>"
    score = b'<score-partwise><part id="P1">' + bars * 210_000 + b"</part></score-partwise>"
    assert len(score) > 16 * 2**20
    assert len(root_of(zipped(("tune.xml", score)))[0]) == 210_000


def test_a_bomb_within_the_free_size_is_just_blanks() -> None:
    assert root_of(bomb(4)).tag == "score-partwise"


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def forbid(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "locked.musicxml"
    path.write_bytes(SOUND)
    monkeypatch.setattr(Path, "open", forbid)  # permissions do not bind the superuser
    with pytest.raises(Refused) as caught:
        read_score(path)
    assert str(caught.value) == f"{path}: this file may not be read; change its permissions"


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("/dev/null", "this is a device, not a file; name a score file"),
        ("tune\0.xml", "no file can have such a name; look at it"),
        (
            "a" * 300,
            "this file cannot be read (file name too long); look at its name",
        ),
    ],
)
def test_places_that_are_no_file(path: str, said: str) -> None:
    with pytest.raises(Refused) as caught:
        read_score(path)
    assert str(caught.value) == f"{printable(path)}: {said}"


def test_a_file_beyond_the_limit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("rewriter.musicxml.opening.MOST_BYTES", 2**20)
    path = tmp_path / "long.musicxml"
    path.write_bytes(SOUND + b" " * 2**20)
    with pytest.raises(Refused) as caught:
        read_score(path)
    assert str(caught.value) == (
        f"{path}: the file is larger than 1 MB; split the score into movements"
    )


# ---- whatever happens to the bytes

ZIPPED = zipped(
    ("mimetype", MEDIA_TYPE.encode()), (CONTAINER, rootfile("a.xml")), ("a.xml", SOUND)
)
WIDE = SOUND.decode().replace("UTF-8", "UTF-16").encode("utf-16")


@st.composite
def _spoilt(draw: st.DrawFn) -> bytes:
    data = bytearray(draw(st.sampled_from([SOUND, ZIPPED, WIDE])))
    for _ in range(draw(st.integers(0, 4))):
        data[draw(st.integers(0, len(data) - 1))] ^= 1 << draw(st.integers(0, 7))
    return bytes(data[: draw(st.one_of(st.just(len(data)), st.integers(0, len(data))))])


@settings(max_examples=400, deadline=None)
@given(_spoilt())
@example(b"PK\x05\x06")
@example(b"PK\x03\x04")
@example(b"<")
@example(b"\xff\xfe")
@example(b"\xff\xfe<\0")
@example(b"<?xml version='1.0' encoding='UTF-7'?><a/>")
@example(b"<?xml version='1.0' encoding='UCS-4'?><a/>")
def test_spoilt_bytes_are_opened_or_refused(data: bytes) -> None:
    try:
        assert isinstance(read_score(data), Score)
    except Refused as refused:
        assert "\n" not in str(refused)  # noqa: PT017 - either outcome is right


def test_a_score_cut_anywhere_says_where() -> None:
    for length in range(SOUND.index(b"<score-partwise") + 15, len(SOUND.rstrip()) - 1):
        with pytest.raises(Refused) as caught:
            read_score(SOUND[:length])
        assert str(caught.value) == (
            "sketch: line 2: the file breaks off here;"
            " export the score again from the notation program"
        )


def test_a_zip_cut_or_flipped_anywhere() -> None:
    for place in range(len(ZIPPED)):
        flipped = bytearray(ZIPPED)
        flipped[place] ^= 0xFF
        for data in (ZIPPED[:place], bytes(flipped)):
            try:
                read_score(data)
            except Refused as refused:
                assert str(refused).startswith("sketch: ")  # noqa: PT017


def test_names_out_of_a_file_cannot_break_the_line() -> None:
    names = ("a&#10;b" + "c" * 200, "\x1b[2Jd.xml")
    with pytest.raises(Refused) as caught:
        read_score(zipped((CONTAINER, rootfile(names[0]))))
    assert str(caught.value) == (
        f'sketch: the container names "a?b{"c" * 77}", which is not in the zip;'
        " export the score again from the notation program"
    )
    data = bytearray(zipped((names[1], SOUND)))
    data[data.index(b"PK\x01\x02") + 8] |= 1
    data[6] |= 1
    with pytest.raises(Refused) as caught:
        read_score(bytes(data))
    assert str(caught.value) == (
        "sketch: ?[2Jd.xml in the zip is encrypted; save it without a password"
    )
    with pytest.raises(Refused) as caught:
        read_score(b"<" + b"a" * 200 + b"/>")
    assert str(caught.value) == (
        f"sketch: the file begins with <{'a' * 80}>, which is not MusicXML;"
        " export the score as MusicXML from the notation program"
    )


def test_the_cases_cover_bytes_without_a_file_too(tmp_path: Path) -> None:
    for case in CASES:
        path = tmp_path / case.file
        case.build(path)
        if path.is_file():
            with pytest.raises(Refused) as caught:
                read_score(path.read_bytes())
            assert str(caught.value) == f"sketch: {case.said}"
