"""From the lines of all passages to the parts of the score, one for each section."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from rewriter.notating.crossing import lines_cross
from rewriter.notating.depths import depths, held_beside
from rewriter.notating.marks import MarkPlanner, Marks
from rewriter.notating.strand_words import Told, told, told_beside, words_of
from rewriter.placing.strands import Plays, laid_into
from rewriter.sketch.model import Sounding

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.notating.cuts import Place
    from rewriter.placing.lines import Line
    from rewriter.rulefiles.ensembles import Ensemble, Section
    from rewriter.rulefiles.layouts import Layout
    from rewriter.sketch.model import Frame, Sign


class SectionPart(NamedTuple):
    """A section and what it plays.

    Attributes:
        section: of the ensemble.
        strands: its lines; none where it rests throughout.
        marks: clefs and 8va lines.
        signs: by bar, words at their onsets.
        unsaid: by note, signs that are not true where it plays.
        lines: that stand in it.
        second: True for the second staff of a section whose lines cross.
        strength: how many play it at the most; the second staff has its share only.
    """

    section: Section
    strands: Sequence[Plays]
    marks: Marks
    signs: dict[int, list[Sign]]
    unsaid: dict[Place, set[str]]
    strength: int
    lines: Sequence[Line]
    second: bool = False


class PassageLines(NamedTuple):
    """A passage's layout and all its lines."""

    layout: Layout
    lines: Sequence[Line]


def section_parts(
    ensemble: Ensemble, passages: Sequence[PassageLines], frame: Frame, language: str
) -> list[SectionPart]:
    """Every section of the ensemble with what it plays from end to end.

    A section whose lines cross has two parts, the second only where it is needed.

    Args:
        ensemble: its sections, in score order.
        passages: in the order of the score.
        frame: of the score.
        language: of the words in the parts.
    """
    planner = MarkPlanner(frame)
    return [
        part
        for section in ensemble.sections
        for part in _parts(_Gathered(section, passages, frame, language), planner)
    ]


class _Gathered:
    """What one section plays: strands from the top, their lines, and what is told."""

    def __init__(
        self, section: Section, passages: Sequence[PassageLines], frame: Frame, language: str
    ) -> None:
        self.section = section
        self.strands: list[Plays] = []
        self.lines: list[list[Line]] = []
        self.unsaid: dict[Place, set[str]] = {}
        self._bars = len(frame.bars)
        lines = [
            [line for line in passage.lines if line.section is section] for passage in passages
        ]
        own = [[line for line in some if not line.taken_from] for some in lines]
        for some in own:
            if len(some) > 1:
                some.sort(key=_height)
        beside = held_beside(own)
        lying = depths(own, beside, _height)
        said: list[Told] = []
        for at, passage in enumerate(passages):
            for depth, line in zip(lying[at], own[at], strict=True):
                self._lay(depth, line)
            for line in lines[at]:
                if line.taken_from:
                    self._lay(0, line)
            detail = passage.layout.line.get(section.key)
            news = told(own[at], detail.marking if detail else "", language)
            held = max((one.until for one in beside if one.after[0] == at), default=None)
            said += news if held is None else told_beside(news, own[at], held)
        self.words = words_of(said, language)

    def _lay(self, depth: int, line: Line) -> None:
        while depth >= len(self.strands):
            self.strands.append([()] * self._bars)
            self.lines.append([])
        laid_into(self.strands[depth], line.plays)
        self.lines[depth].append(line)
        for (bar, place), sign in line.unsaid:
            self.unsaid.setdefault((id(line.voice), bar, place), set()).add(sign)


def _parts(one: _Gathered, planner: MarkPlanner) -> Iterator[SectionPart]:
    section = one.section
    if not lines_cross(one.strands):
        lines = [line for lines in one.lines for line in lines]
        marks = _marks(section, lines, planner)
        whole = section.strength
        yield SectionPart(section, one.strands, marks, one.words, one.unsaid, whole, lines)
        return
    top = one.lines[0]
    first, upper = _marks(section, top, planner), _strength(top)
    yield SectionPart(section, one.strands[:1], first, one.words, one.unsaid, upper, top)
    below = [line for lines in one.lines[1:] for line in lines]
    second = _marks(section, below, planner)
    lower, strands = _strength(below), one.strands[1:]
    yield SectionPart(section, strands, second, {}, one.unsaid, lower, below, second=True)


def _strength(lines: Sequence[Line]) -> int:
    """How many play on a staff at the most; of an odd section the larger half."""
    return max(-int(-line.strength // 1) for line in lines)


def _height(line: Line) -> float:
    """Highest first, by what sounds, since lines may carry different voices."""
    lengths = [max(sounding.length, 1) for sounding in line.soundings]
    total = sum(
        sounding.midi * length for sounding, length in zip(line.soundings, lengths, strict=True)
    )
    return -(total / (sum(lengths) or 1) + 12 * line.octave)


def _marks(section: Section, lines: Sequence[Line], planner: MarkPlanner) -> Marks:
    if len(lines) == 1:
        return planner.plan(section, lines[0].soundings, lines[0].octave, [lines[0].plays])
    if not any(planner.may_need(section, line.soundings, line.octave) for line in lines):
        return planner.plan(section, (), 0)
    return planner.plan(section, _sounding_together(lines), 0, [line.plays for line in lines])


def _sounding_together(lines: Sequence[Line]) -> list[Sounding]:
    """What all lines of a section sound, at its true pitch, in the order of time.

    Slurred groups keep apart from each other line by line.
    """
    heard: list[Sounding] = []
    groups = 0
    for line in lines:
        highest, shift = -1, 12 * line.octave
        for bar, start, length, midi, own, index in line.soundings:
            if own >= 0:
                highest = max(highest, own)
                own += groups  # noqa: PLW2901 - as this line's groups are counted on
            heard.append(Sounding(bar, start, length, midi + shift, own, index))
        groups += highest + 1
    heard.sort(key=lambda sounding: (sounding.bar, sounding.start))
    return heard
