"""Parts for the stands: one file for each section of a score."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.heading import HEAD
from rewriter.musicxml.note_reading import serialised
from rewriter.musicxml.saving import stamp
from rewriter.stands.cues import write_cues
from rewriter.stands.in_force import Reading
from rewriter.stands.part_heading import file_names, part_header, shared_header
from rewriter.stands.reading import WrittenPart
from rewriter.stands.rests import (
    is_plain_rest,
    opening_attributes,
    rests_in,
    write_multi_rests,
)
from rewriter.stands.signs import spread_signs
from rewriter.stands.staves import on_two_staves, parts_of_sections

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lxml.etree import _Element as Element

    from rewriter.stands.reading import WrittenScore

_NUMBERED_BY_SYSTEM: Final = "system"
_TACET: Final = (
    b'<direction placement="above"><direction-type><words font-weight="bold" font-size="14"'
    b' font-style="normal">'
    b"TACET</words></direction-type></direction>"
)


class Part(NamedTuple):
    """What one section has on its stands.

    Attributes:
        name: as the score calls the section, such as ``Violins I``.
        file_name: for the part, such as ``harbour-thaws-Violins-I.musicxml``; the same every
            time, safe on every file system, told apart from the others without case.
        data: MusicXML 4.0, partwise, UTF-8.
        bars: how many, as in the score.
        tacet: True where the section plays nothing at all.
        multi_bar_rests: how many it has.
        cue_notes: how many entries have cue notes before them.
    """

    name: str
    file_name: str
    data: bytes
    bars: int
    tacet: bool
    multi_bar_rests: int = 0
    cue_notes: int = 0


class _Stand(NamedTuple):
    """A part that is ready to be written out."""

    part: WrittenPart
    tacet: bool
    multi_bar_rests: int
    cue_notes: int


def take_apart(score: WrittenScore, stem: str, *, cue_notes: int, tacet: bool) -> list[Part]:
    """Make the parts of a score.

    Args:
        score: its bars are changed.
        stem: what the file names begin with.
        cue_notes: bars of rest from which an entry gets cue notes; 0 for none.
        tacet: whether a section that plays nothing gets a part, with the word TACET.
    """
    sections = parts_of_sections(score.parts)
    played = [not all(rests_in(bar) for part in each for bar in part.bars) for each in sections]
    readings = _readings(sections) if cue_notes else []
    wanted = [each for each, plays in zip(sections, played, strict=True) if plays or tacet]
    spread_signs(
        score.parts, [each[0] for each, plays in zip(sections, played, strict=True) if plays]
    )
    stands = [
        _stand(each, readings, cue_notes, plays=plays)
        for each, plays in zip(sections, played, strict=True)
        if plays or tacet
    ]
    shared = shared_header(score.root)
    names = file_names(stem, [each[0].name for each in wanted])
    return [
        Part(
            stand.part.name,
            name,
            _written(shared, score.root, stand.part),
            len(stand.part.bars),
            stand.tacet,
            stand.multi_bar_rests,
            stand.cue_notes,
        )
        for stand, name in zip(stands, names, strict=True)
    ]


def _readings(sections: Sequence[Sequence[WrittenPart]]) -> list[Reading]:
    return [
        Reading(part, number) for number, section in enumerate(sections) for part in section
    ]


def _stand(
    section: Sequence[WrittenPart], readings: Sequence[Reading], cue_notes: int, *, plays: bool
) -> _Stand:
    if not plays:
        return _Stand(_tacet(section[0]), tacet=True, multi_bar_rests=1, cue_notes=0)
    part = on_two_staves(section)
    cued = 0
    if cue_notes:
        place = next(n for n, reading in enumerate(readings) if reading.part is section[0])
        cued = write_cues(part, readings, place, cue_notes)
    _number_by_system(part)
    return _Stand(part, tacet=False, multi_bar_rests=write_multi_rests(part), cue_notes=cued)


def _number_by_system(part: WrittenPart) -> None:
    """Bar numbers at the beginning of each system, whatever the score has."""
    for index in sorted({0, *part.has(b"<measure-numbering")}):
        measure = part.bar(index)
        for old in list(measure.iter("measure-numbering")):
            holder = old.getparent()
            if holder is not None:
                holder.remove(old)
        if index == 0:
            show = measure.find("print")
            if show is None:
                show = etree.Element("print")
                measure.insert(0, show)
            numbering = etree.Element("measure-numbering")
            numbering.text = _NUMBERED_BY_SYSTEM
            names = ("part-name-display", "part-abbreviation-display")
            behind = [child for child in show if child.tag in names]
            show.insert(len(show) - len(behind), numbering)
        part.bars[index] = serialised(measure)


def _tacet(part: WrittenPart) -> WrittenPart:
    """All bars in one rest under the word TACET: nobody has to count through this sheet.

    Keys, barlines, repeats, words and marks would only break the rest and are left out; metres
    and bar numbers stay, so that the bars are as long as in the score.
    """
    bars = []
    for index, bar in enumerate(part.bars):
        if index and is_plain_rest(bar):
            bars.append(bar)
            continue
        measure = part.bar(index)
        for child in list(measure):
            keeps = child.tag in {"note", "forward", "backup"}
            if child.tag == "attributes":
                _keep_metre(child, first=index == 0)
                keeps = len(child) > 0
            if child.tag == "barline":
                keeps = index == len(part.bars) - 1 and _keep_bar_style(child)
            if not keeps:
                measure.remove(child)
        if index == 0:
            opening = opening_attributes(measure)
            measure.insert(measure.index(opening) + 1, etree.fromstring(_TACET))
        bars.append(serialised(measure))
    resting = WrittenPart(part.entry, bars)
    write_multi_rests(resting)
    return resting


def _keep_bar_style(barline: Element) -> bool:
    """Make a right barline a plain one of its style; False for what is none."""
    for sign in list(barline):
        if sign.tag != "bar-style":
            barline.remove(sign)
    return len(barline) > 0 and barline.get("location", "right") == "right"


def _keep_metre(attributes: Element, *, first: bool) -> None:
    for child in list(attributes):
        if not (first or child.tag in {"divisions", "time"}):
            attributes.remove(child)


def _written(shared: bytes, root: Element, part: WrittenPart) -> bytes:
    opening = serialised(etree.Element("part", {"id": part.id})).replace(b"/>", b">\n")
    return stamp(
        b"".join(
            (
                HEAD,
                part_header(shared, root, part),
                opening,
                b"\n".join(part.bars),
                b"\n</part>\n</score-partwise>\n",
            )
        )
    )
