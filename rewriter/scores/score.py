"""Any MusicXML score, read once and never altered.

What a score holds is paid for when it is asked for:

1. bars, cut from the bytes, with their places in the file (:attr:`Part.bars`,
   :meth:`Score.place`);
2. what happens in them and when (``scores.events``);
3. every child of every bar and note, as bytes (:meth:`Part.children`) or as a tree
   (:meth:`Part.tree`).

The bytes of a bar are those lxml writes of it: UTF-8, without the white space between
elements, entities resolved. Comments, processing instructions and unknown elements are there.
Only a score that is trusted to be the tool's own keeps the line breaks it was written with:
its bars are cut from the file, and nothing is parsed.
"""

from __future__ import annotations

import codecs
import hashlib
import re
from bisect import bisect_right
from functools import cached_property
from itertools import accumulate
from typing import TYPE_CHECKING, Final

from lxml import etree

from rewriter.musicxml.escaping import escaped, word
from rewriter.musicxml.note_reading import serialised
from rewriter.musicxml.opening import UNNAMED, partwise_root, read_source
from rewriter.musicxml.parsing import safe_parser
from rewriter.problems import Refused
from rewriter.scores.children import attributes_of, children_of, element_of, saying_in
from rewriter.scores.cost import require_memory
from rewriter.scores.leaving import stands_in
from rewriter.scores.namespaces import declared_where_used
from rewriter.scores.own_output import cut_own

if TYPE_CHECKING:
    import os

    from lxml.etree import _Element as Element
    from lxml.etree import _ElementTree as ElementTree

    from rewriter.musicxml.opening import Source
    from rewriter.scores.text import Outer, ScoreText, Span

_BAR_END: Final = b"</measure>"
_MOST_STAVES: Final = 64
"""A part with more is damaged."""
_STAVES: Final = re.compile(rb"<staves>\s*(\d+)\s*</staves>")
_STAVES_DIGITS: Final = 9  # of a number that is too large anyway, the first will do
_NUMBERED: Final = re.compile(rb'<measure number="([^"&]*)"')
_HEAD_BYTES: Final = 64  # where the XML declaration begins
_MANY: Final = 1000
_ASIDES: Final = rb"(?:<!--.*?-->|<\?.*?\?>)+"
_BEFORE_BARS: Final = re.compile(_ASIDES, re.DOTALL)
_BEHIND_BARS: Final = re.compile(_BAR_END + _ASIDES, re.DOTALL)


class Part:
    """A part of a score, bar by bar.

    Attributes:
        id: what the part list knows it by.
        listed: False where the part list has no entry for it.
        entry: its ``<score-part>``; one made up where there is none.
        bars: each ``<measure>`` as bytes.
        has_asides: True when there may be comments or processing instructions in them.
    """

    def __init__(
        self,
        number: str,
        entry: Element | None,
        bars: list[bytes],
        *,
        has_asides: bool = True,
    ) -> None:
        self.has_asides = has_asides
        self.id = number
        self.listed = entry is not None
        self.entry = _made_up(number) if entry is None else entry
        self.bars = bars

    @cached_property
    def full_name(self) -> str:
        """What the part list calls it in full; empty where it does not."""
        if not self.listed:
            return ""
        return " ".join((self.entry.findtext("part-name") or "").split())

    @cached_property
    def short_name(self) -> str:
        """Its abbreviation; empty where there is none."""
        return " ".join((self.entry.findtext("part-abbreviation") or "").split())

    @property
    def name(self) -> str:
        """What people call it: in full, else in short, else its id."""
        return self.full_name or self.short_name or self.id

    @cached_property
    def sound(self) -> str:
        """The standard's id of its first instrument, such as ``strings.cello``."""
        return (self.entry.findtext("score-instrument/instrument-sound") or "").strip()

    @cached_property
    def staves(self) -> int:
        """How many staves it has at the most."""
        saying = [self.bars[at] for at in self.saying(b"<staves>")]
        said = (int(n[:_STAVES_DIGITS]) for bar in saying for n in _STAVES.findall(bar))
        return min(max(said, default=1) or 1, _MOST_STAVES)

    @cached_property
    def numbers(self) -> list[str]:
        """The printed number of each bar; ``?`` where it has none."""
        return [_number(bar) for bar in self.bars]

    @cached_property
    def attributes(self) -> list[tuple[int, bytes]]:
        """Every ``<attributes>``, with the index of its bar, in document order."""
        return [
            (bar, child)
            for bar in self.saying(b"<attributes")
            for child in self.children(bar)
            if child.startswith(b"<attributes")
        ]

    def having(self, tag: bytes) -> list[int]:
        """Indexes of the bars in which a piece of text stands, such as ``<clef``."""
        return saying_in(self.bars, (tag,))

    def saying(self, *openings: bytes) -> list[int]:
        """Indexes of the bars in which elements of some kinds stand, but never within a note.

        Args:
            openings: what begins them, such as ``<words``.
        """
        text = self._beside_notes
        ends = self._ends_beside_notes
        found: set[int] = set()
        for opening in openings:
            at = text.find(opening)
            while at >= 0:
                bar = bisect_right(ends, at)
                found.add(bar)
                at = text.find(opening, ends[bar])
        return sorted(found)

    @cached_property
    def _ends_beside_notes(self) -> list[int]:
        """Where in that text each bar ends."""
        lengths = map(len, self._beside_notes.split(b"\0"))
        return [end + at for at, end in enumerate(accumulate(lengths))]

    @cached_property
    def _beside_notes(self) -> bytes:
        """Bars without their notes, which are nearly all there is; or the bars, in doubt."""
        if self.has_asides:
            return b"\0".join(self.bars)
        whole = b"\0".join(self.bars)  # which no XML holds
        first, *pieces = whole.split(b"<note")
        beside = [first]
        unended = 0
        for piece in pieces:
            if not piece.endswith(b"</note>"):  # as most do: notes follow right upon notes
                _, end, behind = piece.partition(b"</note>")
                unended += not end
                beside.append(behind)
        if unended and unended != whole.count(b"<notehead"):  # notes without anything in them
            return whole
        return b"".join(beside)

    def children(self, bar: int) -> list[bytes]:
        """The children of a bar, comments and processing instructions among them."""
        return children_of(self.bars[bar])

    def tree(self, bar: int) -> Element:
        """A bar as a tree of its own."""
        return element_of(self.bars[bar])

    def whole_tree(self) -> Element:
        """The part as a tree of its own, without comments and processing instructions."""
        opening = serialised(etree.Element("part", {"id": self.id})).replace(b"/>", b">")
        data = b"".join((opening, *self.bars, b"</part>"))
        return etree.fromstring(data, safe_parser())


class Score:
    """A score in parts.

    Attributes:
        header: ``<score-partwise>`` with all that stands before its parts, comments left out;
            not to be changed.
        parts: in score order.
        name: the file as the user named it; a word for bytes and trees.
        source: the bytes it was read from, unzipped.
        packed: the zip they came out of; empty where they came out of none.
        own: True where the tool's own untouched output was cut without a parse.
    """

    def __init__(
        self, header: Element, parts: list[Part], source: Source, *, own: bool = False
    ) -> None:
        self.own = own
        self.header = header
        self.parts = parts
        self.name = source.name
        self.source = source.data
        self.packed = source.packed

    @cached_property
    def digest(self) -> str:
        """SHA-256 of the bytes it was read from; hexadecimal."""
        return hashlib.sha256(self.source).hexdigest()

    @cached_property
    def text(self) -> ScoreText:
        """The text in which bars have their places."""
        return self._placed[0]

    def place(self, part: int, bar: int) -> Span | None:
        """Where a bar stands in the text; None where a time-wise score has none for the part.

        Args:
            part: index in score order.
            bar: index from the start of the score.
        """
        spans = self._placed[2][self.parts[part].id]
        return spans[bar] if bar < len(spans) else None

    @property
    def outline(self) -> list[Outer]:
        """What the text is made of behind its header."""
        return self._placed[1]

    @cached_property
    def _placed(self) -> tuple[ScoreText, list[Outer], dict[str, list[Span | None]]]:
        from rewriter.scores.text import ScoreText, bar_spans, outline, text_of

        text = text_of(self.source)
        found = outline(text.data)
        spans = bar_spans(found)
        if all(len(spans.get(part.id, ())) == len(part.bars) for part in self.parts):
            return text, found, spans
        rebuilt = self._rebuilt()
        found = outline(rebuilt)
        return ScoreText(rebuilt, rebuilt=True), found, bar_spans(found)

    def _rebuilt(self) -> bytes:
        end = b"</%b>" % word(str(self.header.tag))
        head = serialised(self.header)
        head = head[: -len(end)] if head.endswith(end) else head.replace(b"/>", b">")
        pieces = [b'<?xml version="1.0" encoding="UTF-8"?>\n', head]
        for part in self.parts:
            opening = serialised(etree.Element("part", {"id": part.id})).replace(b"/>", b">")
            pieces += [opening, *part.bars, b"</part>"]
        return b"".join([*pieces, end, b"\n"])

    @cached_property
    def asides(self) -> int:
        """How many comments and processing instructions its file has, the declaration aside.

        Counted by their opening signs, in any encoding that keeps ASCII letters.
        """
        data, head = self.source, self.source[:_HEAD_BYTES]
        letters = "utf-8"
        if b"\0" in head:
            little = head.startswith((codecs.BOM_UTF16_LE, b"<\0"))
            letters = "utf-16-le" if little else "utf-16-be"
        comment, instruction, declaration = (
            text.encode(letters) for text in ("<!--", "<?", "<?xml ")
        )
        signs = _times(comment, data) + _times(instruction, data)
        return signs - head.count(declaration)


def _times(sign: bytes, data: bytes) -> int:
    """How often a sign of an aside stands in a text: looked for by its rare second letter."""
    if b"\0" in sign:
        return data.count(sign)
    times = 0
    at = data.find(sign[1:2])
    for _ in range(_MANY):
        if at < 0:
            return times
        times += data.startswith(sign, at - 1)
        at = data.find(sign[1:2], at + 1)
    return data.count(sign)


def read_score(
    source: str | os.PathLike[str] | bytes | Element | ElementTree | Source,
    *,
    trusted: bool = False,
    unnamed: str = UNNAMED,
    lines: int = 0,
) -> Score:
    """Read a score.

    Args:
        source: a path; the bytes of a file, zipped or not; an lxml tree, which is not
            changed; or what has been read.
        trusted: cut a score at its tags, without a parse, if it says that it is the tool's
            own and untouched. That can be forged: then an ``etree.XMLSyntaxError`` may come
            when a bar is looked at, and it has to be read again without trust.
        unnamed: what bytes and trees are called.
        lines: how many are going to be made of it at a time, which has to fit into memory.

    Raises:
        Refused: there is no score that can be read, with the file named.
    """
    found = read_source(source, unnamed=unnamed)
    own = cut_own(found.data) if trusted else None
    if own is not None:
        root, music = own.header, [(number, bars, False) for number, bars in own.parts]
    else:
        try:
            require_memory(found.data, lines, unpacked=bool(found.packed))
        except Refused as refusal:
            raise refusal.within(found.name) from None
        root = partwise_root(found.data, found.name, comments=True)
        music = []
        for element in root.findall("part"):
            music.append((str(element.get("id", "")), *_bars_of(element)))
            root.remove(element)
    entries = {str(entry.get("id")): entry for entry in root.iterfind("part-list/score-part")}
    parts = [
        Part(number, entries.get(number), bars, has_asides=asides)
        for number, bars, asides in music
    ]
    etree.strip_tags(root, etree.Comment, etree.ProcessingInstruction)
    return Score(root, parts, found, own=own is not None)


def _bars_of(part: Element) -> tuple[list[bytes], bool]:
    """The bars as bytes, and whether there are asides in them.

    They are cut out of the whole part where a cut is sure to be right.
    """
    data = serialised(part)
    music = data[data.find(b">") + 1 :]
    has_asides = _has_asides(music)
    if has_asides:  # those between bars are nobody's
        before = _BEFORE_BARS.match(music)
        music = _BEHIND_BARS.sub(_BAR_END, music[before.end() if before else 0 :])
        has_asides = _has_asides(music)
    names_spaces = _names_spaces(part, music)
    cut = None if has_asides or names_spaces else _cut_bars(music)
    if cut is None:
        cut = [serialised(bar) for bar in part.iterchildren("measure")]
    return [*map(declared_where_used, cut)] if names_spaces else cut, has_asides


def _has_asides(music: bytes) -> bool:
    return stands_in(b"<!--", music) or stands_in(b"<?", music)


def _names_spaces(part: Element, music: bytes) -> bool:
    """True when there are names in it that belong to a namespace."""
    prefixes = [escaped(prefix) + b":" for prefix in part.nsmap if prefix]
    return b"xmlns" in music or any(prefix in music for prefix in prefixes)


def _cut_bars(music: bytes) -> list[bytes] | None:
    """The bars of a part; None where there is something else, or an empty bar, among them."""
    *bars, rest = music.split(_BAR_END)
    if rest != b"</part>":
        return None
    for bar in bars:
        end = bar.find(b">")
        if not bar.startswith((b"<measure>", b"<measure ")) or bar[end - 1 : end] == b"/":
            return None
    return [bar + _BAR_END for bar in bars]


def _number(bar: bytes) -> str:
    """The printed number of a bar."""
    usual = _NUMBERED.match(bar)
    return usual[1].decode() if usual else attributes_of(bar).get("number", "?")


def _made_up(number: str) -> Element:
    entry = etree.Element("score-part", {"id": number})
    etree.SubElement(entry, "part-name").text = number
    return entry
