"""From the lines of all passages to the parts of the score, one for each section."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.notating.marks import Marks, bar_starts, plan_marks
from rewriter.notating.score import SectionPart
from rewriter.notating.strand_words import Told, told, words_of
from rewriter.placing.strands import Plays, laid_into

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rewriter.placing.lines import Line
    from rewriter.rulefiles.ensembles import Ensemble, Section
    from rewriter.rulefiles.layouts import Layout
    from rewriter.sketch.model import Frame, Sounding


class PassageLines(NamedTuple):
    """A passage's layout and all its lines."""

    layout: Layout
    lines: Sequence[Line]


def section_parts(
    ensemble: Ensemble, passages: Sequence[PassageLines], frame: Frame, language: str
) -> list[SectionPart]:
    """Every section of the ensemble with what it plays from end to end.

    Args:
        ensemble: its sections, in score order.
        passages: in the order of the score.
        frame: of the score.
        language: of the words in the parts.
    """
    starts = bar_starts(frame)
    return [
        _section_part(section, passages, frame, starts, language)
        for section in ensemble.sections
    ]


def _section_part(
    section: Section,
    passages: Sequence[PassageLines],
    frame: Frame,
    starts: Sequence[int],
    language: str,
) -> SectionPart:
    strands: list[Plays] = []
    said: list[Told] = []
    heard: list[Line] = []
    for passage in passages:
        lines = [line for line in passage.lines if line.section is section]
        own = sorted((ln for ln in lines if not ln.taken_from), key=_height)
        for depth, line in enumerate(own):
            if depth == len(strands):
                strands.append([()] * len(frame.bars))
            laid_into(strands[depth], line.plays)
        for line in lines:
            if line.taken_from:
                strands = strands or [[()] * len(frame.bars)]
                laid_into(strands[0], line.plays)
        heard += lines
        detail = passage.layout.line.get(section.key)
        if own and (this := told(own, detail.marking if detail else "", language)):
            said.append(this)
    return SectionPart(
        section, strands, _marks(section, heard, starts, frame), words_of(said, language)
    )


def _height(line: Line) -> float:
    """Highest first, by what sounds, since lines may carry different voices."""
    lengths = [max(sounding.length, 1) for sounding in line.soundings]
    total = sum(
        sounding.midi * length for sounding, length in zip(line.soundings, lengths, strict=True)
    )
    return -(total / (sum(lengths) or 1) + 12 * line.octave)


def _marks(
    section: Section, lines: Sequence[Line], starts: Sequence[int], frame: Frame
) -> Marks:
    if len(lines) == 1:
        return plan_marks(section, lines[0].soundings, lines[0].octave, starts, frame)
    return plan_marks(section, _sounding_together(lines), 0, starts, frame)


def _sounding_together(lines: Sequence[Line]) -> list[Sounding]:
    """What all lines of a section sound, at its true pitch, in the order of time.

    Slurred groups keep apart from each other line by line.
    """
    heard: list[Sounding] = []
    groups = 0
    for line in lines:
        highest = -1
        for sounding in line.soundings:
            highest = max(highest, sounding.group)
            group = sounding.group + groups if sounding.group >= 0 else -1
            heard.append(sounding._replace(midi=sounding.midi + 12 * line.octave, group=group))
        groups += highest + 1
    heard.sort(key=lambda sounding: (sounding.bar, sounding.onset))
    return heard
