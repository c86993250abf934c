"""Scores as files really look: white space, comments, line ends, encodings, orders, zips.

A file is put together from pieces, so that what any edit should make of it is known without
reading it.
"""

import codecs
import io
import random
import zipfile
from typing import NamedTuple

GAPS = (
    "", "", "{nl}      ", "{nl}\t", " ", "{nl}    <!-- Flöte: <note> & co -->{nl}      ",
    "<?hülle a='<measure>'?>", "{nl}  <!-- </measure></part> --> ",
)  # fmt: skip
CHILDREN = (
    "<note><rest/><duration>4</duration></note>",
    "<note {nl} default-x = '3.5'><!-- <note/> --><pitch><step>C</step><octave>4</octave>"
    "</pitch><duration>4</duration>{nl}</note >",
    '<direction placement="above"><direction-type><words>größer &gt; &amp; ruhig</words>'
    "</direction-type></direction>",
    "<direction><direction-type><words><![CDATA[<measure> ü ]]></words></direction-type>"
    "</direction>",
    "<forward><duration>2</duration></forward>",
    "<other-thing text='a>b' x=\"/note>\"><other-thing/><other-thing></other-thing>"
    "</other-thing>",
    "<barline location='right'><bar-style>light-light</bar-style></barline>",
)
ENCODINGS = ("utf-8", "utf-8-sig", "iso-8859-1", "utf-16", "windows-1252", "utf-16-be")


class Bar(NamedTuple):
    """A bar of one part: its children, each with the gap before it, and the gap at the end."""

    opening: str
    children: list[tuple[str, str]]
    last_gap: str
    closing: str

    def text(self) -> str:
        inner = "".join(gap + child for gap, child in self.children) + self.last_gap
        return self.opening + inner + self.closing


class Untidy(NamedTuple):
    """A score; bars by (part, bar) in the order they stand in the file, with what is between.

    Attributes:
        head: up to the first bar.
        bars: each with the text that follows it.
        encoding: of the file.
        declared: the name its declaration has.
        zipped: True when it is packed with a picture beside it.
    """

    head: str
    bars: list[tuple[tuple[int, int], Bar, str]]
    encoding: str
    declared: str
    zipped: bool

    def text(self) -> str:
        declaration = f'<?xml version="1.0" encoding="{self.declared}"?>'
        return declaration + self.head + "".join(bar.text() + gap for _, bar, gap in self.bars)

    def plain(self) -> bytes:
        data = self.text().encode(self.encoding)
        return codecs.BOM_UTF16_BE + data if self.encoding == "utf-16-be" else data

    def file(self) -> bytes:
        return packed(self.plain()) if self.zipped else self.plain()


def packed(score: bytes) -> bytes:
    """A zip with a score called as people call theirs, and a picture."""
    made = io.BytesIO()
    container = (
        '<container><rootfiles><rootfile full-path="Träume.xml"/></rootfiles></container>'
    )
    with zipfile.ZipFile(made, "w") as archive:
        archive.writestr("mimetype", "application/vnd.recordare.musicxml")
        archive.writestr("META-INF/container.xml", container, zipfile.ZIP_DEFLATED)
        archive.writestr("bild.png", b"\x89PNG" + bytes(300), zipfile.ZIP_DEFLATED)
        archive.writestr("Träume.xml", score, zipfile.ZIP_DEFLATED)
        archive.comment = b"kept"
    return made.getvalue()


def untidy(seed: int) -> Untidy:
    """A score of two parts and some bars, sorted either way."""
    rng = random.Random(seed)  # noqa: S311 - music, not secrets
    newline = rng.choice(("\n", "\r\n"))
    by_bars = rng.random() < 0.4
    encoding = rng.choice(ENCODINGS)
    declared = {"utf-8-sig": "utf-8", "utf-16-be": "utf-16"}.get(encoding, encoding)
    outer, inner = ("measure", "part") if by_bars else ("part", "measure")
    gap = lambda: rng.choice(GAPS).format(nl=newline)  # noqa: E731 - one word for it below
    bars = []
    count = rng.randint(1, 3)
    pairs = [
        (one, two)
        for one in range(count if by_bars else 2)
        for two in range(2 if by_bars else count)
    ]
    last = -1
    for one, two in pairs:
        before = ""
        if one != last:
            before = f"</{outer}>{gap()}" if last >= 0 else ""
            before += f"<{outer} {_name(outer, one)}>{gap()}"
            last = one
        children = [
            (gap(), rng.choice(CHILDREN).format(nl=newline)) for _ in range(rng.randint(0, 4))
        ]
        bar = Bar(f"<{inner} {_name(inner, two)} >", children, gap(), f"</{inner}>")
        place = (two, one) if by_bars else (one, two)
        bars.append((place, before, bar, gap()))
    kind = "timewise" if by_bars else "partwise"
    head = (
        f"{newline}<!DOCTYPE score-{kind} [<!ENTITY wort 'Wörter'> <!-- ]> -->]>{gap()}"
        f"<score-{kind}>{gap()}<part-list><score-part id='P0'><part-name>Flöte &wort;"
        f"</part-name></score-part>{gap()}<score-part id='P1'><part-name>B</part-name>"
        f"</score-part></part-list>{gap()}"
    )
    done = [
        (
            place,
            bar,
            after
            + (
                bars[at + 1][1] if at + 1 < len(bars) else f"</{outer}></score-{kind}>{newline}"
            ),
        )
        for at, (place, _, bar, after) in enumerate(bars)
    ]
    return Untidy(head + bars[0][1], done, encoding, declared, rng.random() < 0.3)


def _name(tag: str, index: int) -> str:
    return f'id="P{index}"' if tag == "part" else f"number='{index + 1}' text='a>b'"
