"""Parts for the stands: one file for each section of a score."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from lxml import etree

from rewriter.musicxml.heading import HEAD
from rewriter.musicxml.note_reading import serialised
from rewriter.musicxml.saving import stamp
from rewriter.stands.copying import copies
from rewriter.stands.cue_bars import cue_sources, write_cues
from rewriter.stands.part_heading import file_names, part_header, shared_header
from rewriter.stands.pauses import spread_fermatas
from rewriter.stands.references import forget_other_parts
from rewriter.stands.rests import rests_in, write_multi_rests
from rewriter.stands.signs import spread_signs
from rewriter.stands.tacet import tacet_sheet
from rewriter.stands.two_staves import on_two_staves, parts_of_sections
from rewriter.stands.unused_staff import hide_in_every_bar

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lxml.etree import _Element as Element

    from rewriter.scores.score import Score
    from rewriter.stands.copying import PartCopy
    from rewriter.stands.cue_bars import CueSource

_NUMBERED_BY_SYSTEM: Final = "system"


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

    part: PartCopy
    tacet: bool
    multi_bar_rests: int
    cue_notes: int


def extract_parts(score: Score, stem: str, *, cue_notes: int, tacet: bool) -> list[Part]:
    """Make the parts of a score.

    Args:
        score: not changed.
        stem: what the file names begin with.
        cue_notes: bars of rest from which an entry gets cue notes; 0 for none.
        tacet: whether a section that plays nothing gets a part, with the word TACET.
    """
    parts = copies(score)
    sections = parts_of_sections(score, parts)
    sources = cue_sources(sections, cue_notes) if cue_notes else []
    plays = [not all(rests_in(bar) for part in each for bar in part.bars) for each in sections]
    wanted = [
        (each, playing)
        for each, playing in zip(sections, plays, strict=True)
        if playing or tacet
    ]
    spread_signs(parts, [each[0] for each, playing in wanted if playing])
    if not score.own:
        spread_fermatas(parts, [part for each, playing in wanted if playing for part in each])
    stands = [
        _playing(each, sources) if playing else _resting(each) for each, playing in wanted
    ]
    if not score.own:
        for stand in stands:
            forget_other_parts(stand.part)
    shared = shared_header(score.header)
    names = file_names(stem, [each[0].of.name for each, _ in wanted])
    return [
        Part(
            stand.part.of.name,
            name,
            _written(shared, score.header, stand.part),
            len(stand.part.bars),
            stand.tacet,
            stand.multi_bar_rests,
            stand.cue_notes,
        )
        for stand, name in zip(stands, names, strict=True)
    ]


def _playing(section: Sequence[PartCopy], sources: Sequence[CueSource]) -> _Stand:
    part = on_two_staves(section)
    cued = write_cues(part, sources) if sources else 0
    _number_by_system(part)
    rests = write_multi_rests(part)
    if len(section) > 1:
        hide_in_every_bar(part)
    return _Stand(part, tacet=False, multi_bar_rests=rests, cue_notes=cued)


def _resting(section: Sequence[PartCopy]) -> _Stand:
    part = tacet_sheet(section[0])
    write_multi_rests(part)
    return _Stand(part, tacet=True, multi_bar_rests=1, cue_notes=0)


def _number_by_system(part: PartCopy) -> None:
    """Bar numbers at the beginning of each system, whatever the score has."""
    for index in sorted({0, *part.having(b"<measure-numbering")}):
        measure = part.tree(index)
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


def _written(shared: bytes, header: Element, part: PartCopy) -> bytes:
    opening = serialised(etree.Element("part", {"id": part.of.id})).replace(b"/>", b">\n")
    return stamp(
        b"".join(
            (
                HEAD,
                part_header(shared, header, part.of),
                opening,
                b"\n".join(part.bars),
                b"\n</part>\n</score-partwise>\n",
            )
        )
    )
