"""The whole score as bytes: header, part list, and one part after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

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
    from rewriter.rulefiles.ensembles import ClefUse, Section
    from rewriter.sketch.model import Frame, Sign

_XLINK: Final = b' xmlns:xlink="http://www.w3.org/1999/xlink"'
_OCTAVE_LOWER: Final = (
    b"<transpose><diatonic>0</diatonic><chromatic>0</chromatic>"
    b"<octave-change>%d</octave-change></transpose>"
)


class SketchBelow(NamedTuple):
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
    pieces = [HEAD, heading(root, origin), part_list(entries, language, below.entries)]
    for place, (part, entry) in enumerate(zip(parts, entries, strict=True)):
        pieces.append(b'<part id="%b">\n' % entry.id.encode())
        pieces += _bars(part, frame, indexes, top=place == 0)
        pieces.append(b"</part>\n")
    pieces += [below.parts, b"</score-partwise>\n"]
    return stamp(_declared_once(b"".join(pieces)))


def part_ids(parts: Sequence[SectionPart]) -> list[str]:
    """The ids that parts have in the score, in its order."""
    return [entry.id for entry in _entries(parts)]


def _declared_once(score: bytes) -> bytes:
    """Links need a namespace; it is declared on the root and not on every element."""
    if _XLINK not in score:
        return score
    root = b"<score-partwise"
    return score.replace(_XLINK, b"").replace(root, root + _XLINK, 1)


def _entries(parts: Sequence[SectionPart]) -> Iterator[Entry]:
    number = 0
    for part in parts:
        number += not part.second
        name = f"P{number}b" if part.second else f"P{number}"
        yield Entry(name, part.section, part.second, part.strength)


def _bars(
    part: SectionPart, frame: Frame, indexes: dict[int, VoiceIndex], *, top: bool
) -> Iterator[bytes]:
    extra: dict[int, list[Sign]] = {bar: list(signs) for bar, signs in part.signs.items()}
    for bar, signs in part.marks.signs.items():
        extra[bar] = sorted([*signs, *extra.get(bar, ())], key=lambda sign: sign.onset)
    writer = StaffWriter(part, frame, top=top, extra=extra, indexes=indexes)
    shift: int | None = None
    run: list[bytes] = []
    for place, (content, its) in enumerate(writer.bars()):
        framed = frame.bars[place]
        clef = part.marks.clef if place == 0 else part.marks.at_bars.get(place)
        if its != shift:
            yield _settled(run, shift, part.section)
            run, shift = [], its
        opening = _opening(part.section, frame, place, clef)
        run += (framed.opening, framed.left, opening, content, framed.right, b"</measure>\n")
    yield _settled(run, shift, part.section)


def _settled(run: list[bytes], shift: int | None, section: Section) -> bytes:
    """Bars that move by the same octaves, moved all at once."""
    joined = b"".join(run)
    if shift is None:
        return joined
    try:
        return settle(joined, shift)
    except OctaveUnwritable:
        raise unwritable(section.key) from None


def _opening(section: Section, frame: Frame, place: int, clef: ClefUse | None) -> bytes:
    """The ``<attributes>`` a bar begins with."""
    before, after = frame.bars[place].attributes
    middle = clef_bytes(clef) if clef else b""
    if place == 0:
        divisions = b"<divisions>%d</divisions>" % frame.divisions
        keys = [at for tag in (b"<key", b"<time") if (at := before.find(tag)) >= 0]
        at = min(keys, default=len(before))
        before = before[:at] + divisions + before[at:]
        if section.written_octave:
            middle += _OCTAVE_LOWER % -section.written_octave
    if not (before or middle or after):
        return b""
    return b"<attributes>" + before + middle + after + b"</attributes>\n"
