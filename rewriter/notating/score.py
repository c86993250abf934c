"""The whole score as bytes: header, part list, and one part after the other."""

from __future__ import annotations

from itertools import chain, groupby
from typing import TYPE_CHECKING, Final

import msgspec

from rewriter.musicxml.escaping import word
from rewriter.musicxml.heading import HEAD, Origin, heading
from rewriter.musicxml.note_shapes import OctaveUnwritable, settle
from rewriter.musicxml.saving import stamp
from rewriter.notating.marks import clef_bytes
from rewriter.notating.part_list import Entry, part_list
from rewriter.notating.staves import StaffWriter, unwritable

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from lxml.etree import _Element as Element

    from rewriter.notating.cuts import VoiceIndex
    from rewriter.notating.section_parts import SectionPart
    from rewriter.notating.staves import WrittenBar
    from rewriter.rulefiles.ensembles import ClefUse, Section
    from rewriter.sketch.frame import Frame
    from rewriter.sketch.model import Sign

_Shell = tuple[bytes, bytes]
"""What stands before and behind the music of a bar."""

_XLINK: Final = b' xmlns:xlink="http://www.w3.org/1999/xlink"'
_OCTAVE_LOWER: Final = (
    b"<transpose><diatonic>0</diatonic><chromatic>0</chromatic>"
    b"<octave-change>%d</octave-change></transpose>"
)


class SketchBelow(msgspec.Struct, frozen=True):
    """The short score under the strings: entries for the part list, and parts."""

    entries: bytes = b""
    parts: bytes = b""


def write_score(
    root: Element,
    frame: Frame,
    parts: Sequence[SectionPart],
    *,
    language: str,
    origin: Origin,
    below: SketchBelow | None = None,
) -> bytes:
    """Write a score.

    Args:
        root: the sketch, for its header.
        frame: what all parts share.
        parts: in score order.
        language: of the names.
        origin: recorded in the file.
        below: the short score, if it is kept.

    Raises:
        Refused: a note cannot be written at the octave asked for.
    """
    below = below or SketchBelow()
    entries = list(_entries(parts))
    indexes: dict[int, VoiceIndex] = {}
    shells = [_shell(frame, bar) for bar in range(len(frame.bars))]
    pieces = [HEAD, heading(root, origin), part_list(entries, language, below.entries)]
    for place, (part, entry) in enumerate(zip(parts, entries, strict=True)):
        pieces.append(b'<part id="%b">\n' % word(entry.id))
        extra = _extra(part)
        writer = StaffWriter(part, frame, top=place == 0, extra=extra, indexes=indexes)
        pieces += _bars(part, frame, shells, writer.bars())
        pieces.append(b"</part>\n")
    pieces += [below.parts, b"</score-partwise>\n"]
    return stamp(*_declared_once(pieces))


def part_ids(parts: Sequence[SectionPart]) -> list[str]:
    """The ids that parts have in the score, in its order."""
    return [entry.id for entry in _entries(parts)]


def _declared_once(pieces: list[bytes]) -> list[bytes]:
    """Links need a namespace; it is declared on the root and not on every element."""
    if not any(_XLINK in piece for piece in pieces):
        return pieces
    root = b"<score-partwise"
    score = b"".join(pieces).replace(_XLINK, b"")
    return [score.replace(root, root + _XLINK, 1)]


def _entries(parts: Sequence[SectionPart]) -> Iterator[Entry]:
    number = 0
    for part in parts:
        number += not part.second
        name = f"P{number}b" if part.second else f"P{number}"
        yield Entry(name, part.section, part.second, part.players)


def _extra(part: SectionPart) -> dict[int, list[Sign]]:
    """Clefs, 8va lines and words of a part by bar, in order."""
    extra: dict[int, list[Sign]] = {bar: list(signs) for bar, signs in part.signs.items()}
    for bar, signs in part.marks.signs.items():
        extra[bar] = sorted([*signs, *extra.get(bar, ())], key=lambda sign: sign.onset)
    return extra


def _bars(
    part: SectionPart, frame: Frame, shells: Sequence[_Shell], bars: Sequence[WrittenBar]
) -> Iterator[bytes]:
    """The bars of a part in their shells; those with a clef, and the first, have their own."""
    own = list(shells)
    for place, clef in {**part.marks.at_bars, 0: part.marks.clef}.items():
        own[place] = _shell(frame, place, part.section, clef)
    before, behind = zip(*own, strict=True)
    contents, shifts = zip(*bars, strict=True)
    start = 0
    for shift, run in groupby(shifts):
        stop = start + len(list(run))
        pieces = zip(before[start:stop], contents[start:stop], behind[start:stop], strict=True)
        yield _settled(b"".join(chain.from_iterable(pieces)), shift, part.section)
        start = stop


def _settled(run: bytes, shift: int | None, section: Section) -> bytes:
    """Bars that move by the same octaves, moved all at once."""
    if shift is None:
        return run
    try:
        return settle(run, shift)
    except OctaveUnwritable:
        raise unwritable(section.key) from None


def _shell(
    frame: Frame, place: int, section: Section | None = None, clef: ClefUse | None = None
) -> _Shell:
    """Barlines and opening ``<attributes>`` of a bar; clef and octave are a section's own."""
    framed = frame.bars[place]
    before, after = framed.attributes
    middle = clef_bytes(clef) if clef else b""
    if place == 0:
        divisions = b"<divisions>%d</divisions>" % frame.divisions
        keys = [at for tag in (b"<key", b"<time") if (at := before.find(tag)) >= 0]
        at = min(keys, default=len(before))
        before = before[:at] + divisions + before[at:]
        if section and section.written_octave:
            middle += _OCTAVE_LOWER % -section.written_octave
    opening = framed.opening + framed.left
    if before or middle or after:
        opening += b"<attributes>" + before + middle + after + b"</attributes>\n"
    return opening, framed.right + b"</measure>\n"
