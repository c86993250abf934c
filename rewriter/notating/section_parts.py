"""From the lines of all passages to the parts of the score, one for each section."""

from __future__ import annotations

from operator import attrgetter
from typing import TYPE_CHECKING

import msgspec

from rewriter.notating.depths import Strand, depths, held_beside, struck_again
from rewriter.notating.marks import MarkPlanner, Marks
from rewriter.notating.seats import Seats, seated
from rewriter.notating.sharing import OnStaves, on_staves
from rewriter.notating.strand_words import (
    Told,
    told,
    told_beside,
    told_of_taken,
    words_below,
    words_of,
)
from rewriter.placing.strands import Plays, laid_into
from rewriter.sketch.listening import where
from rewriter.sketch.model import Sounding

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from rewriter.notating.cuts import Place
    from rewriter.placing.facts import StruckAgain
    from rewriter.placing.lines import Line
    from rewriter.rulefiles.ensembles import Ensemble, Section
    from rewriter.rulefiles.layouts import Layout
    from rewriter.sketch.frame import Frame
    from rewriter.sketch.model import Sign


class SectionPart(msgspec.Struct, frozen=True):
    """A section and what it plays.

    Attributes:
        section: of the ensemble.
        strands: its lines; none where it rests throughout.
        marks: clefs and 8va lines.
        signs: by bar, words at their onsets.
        unsaid: by note, signs that are not true where it plays.
        ways: for each strand, by note, words of techniques its players have to be told again.
        joined: notes from which more of the section play what some of it have played so far.
        lines: that stand in it.
        second: True for the second staff of a section that needs one.
        struck_again: notes of the section that the sketch ties and its staves do not.
        players: how many play it at the most; the second staff has its share only.
    """

    section: Section
    strands: Sequence[Plays]
    marks: Marks
    signs: dict[int, list[Sign]]
    unsaid: dict[Place, set[str]]
    ways: Sequence[dict[Place, tuple[str, ...]]]
    joined: set[Place]
    players: int
    lines: Sequence[Line]
    second: bool = False
    struck_again: Sequence[StruckAgain] = ()


class PassageLines(msgspec.Struct, frozen=True):
    """A passage's layout and all its lines."""

    layout: Layout
    lines: Sequence[Line]


def section_parts(
    ensemble: Ensemble, passages: Sequence[PassageLines], frame: Frame, language: str
) -> list[SectionPart]:
    """Every section of the ensemble with what it plays from end to end.

    A section whose lines one staff cannot hold has two parts.

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


class _Staff:
    """What stands on one staff of a section: strands from the top, their lines, words."""

    def __init__(self, bars: int) -> None:
        self.strands: list[Plays] = []
        self.lines: list[Line] = []
        self.words: dict[int, list[Sign]] = {}
        self.ways: list[dict[Place, tuple[str, ...]]] = []
        self._bars = bars

    def lay(self, depth: int, line: Line) -> None:
        while depth >= len(self.strands):
            self.strands.append([()] * self._bars)
            self.ways.append({})
        laid_into(self.strands[depth], line.plays)
        self.lines.append(line)


class _Gathered:
    """What one section plays, on an upper staff and, where it needs one, on a lower."""

    def __init__(
        self, section: Section, passages: Sequence[PassageLines], frame: Frame, language: str
    ) -> None:
        self.section = section
        self.upper, self.lower = _Staff(len(frame.bars)), _Staff(len(frame.bars))
        self.unsaid: dict[Place, set[str]] = {}
        self.joined: set[Place] = set()
        self.struck_again: list[StruckAgain] = []
        self._laid: list[tuple[Line, Strand]] = []
        lines = [
            [line for line in passage.lines if line.section is section] for passage in passages
        ]
        own = [_from_the_top(some) for some in lines]
        placed = [
            on_staves(section, some, passage.lines[0].voice)
            if len(some) > 1
            else OnStaves(some)
            for some, passage in zip(own, passages, strict=True)
        ]
        above = _depths([one.upper for one in placed])
        below = _depths([one.lower for one in placed])
        known: Sequence[Line] = ()
        written: Sequence[tuple[Line, Strand]] = ()
        for some, upper, lower in zip(lines, above, below, strict=True):
            self._find_joined(known, some)
            known = some
            for depth, line in upper:
                self._lay(self.upper, depth, line)
            for depth, line in lower:
                self._lay(self.lower, depth, line)
            for line in some:
                if line.taken_from:
                    self._lay(self.upper, 0, line)
            here = self._laid[len(self._laid) - len(some) :]
            self.struck_again += struck_again(written, here)
            written = here
        if any(line.voice.has_techniques for line, _ in self._laid):
            self._tell_ways(own, language)
        self.upper.words = words_of(_told(section, passages, placed, language), language)
        self.lower.words = words_below(placed, language)

    def _lay(self, staff: _Staff, depth: int, line: Line) -> None:
        staff.lay(depth, line)
        self._laid.append((line, Strand(staff is self.lower, depth)))
        for (bar, place), sign in line.unsaid:
            self.unsaid.setdefault((id(line.voice), bar, place), set()).add(sign)

    def _find_joined(self, before: Sequence[Line], now: Sequence[Line]) -> None:
        """The first notes of lines that more play than have played what they play so far."""
        for line in now:
            playing = [one.players for one in before if one.voice is line.voice]
            if playing and line.soundings and line.players > sum(playing):
                entry = where(line.voice, line.soundings[0].index)
                self.joined.add((id(line.voice), *entry))

    def _tell_ways(self, own: Sequence[Sequence[Line]], language: str) -> None:
        """What each group of players has to be told again; who takes a line over are all."""
        from rewriter.notating.told_ways import Seated, restated

        seats = {
            id(line): where
            for lines, sitting in zip(own, seated(own, held_beside(own)), strict=True)
            for line, where in zip(lines, sitting, strict=True)
        }
        everybody = [Seats(0, self.section.players)]
        told = [
            Seated(line, strand, seats.get(id(line), everybody)) for line, strand in self._laid
        ]
        for strand, voice, (bar, place), words in restated(told, language):
            staff = self.lower if strand.below else self.upper
            staff.ways[strand.depth][voice, bar, place] = words


def _from_the_top(lines: Sequence[Line]) -> list[Line]:
    """A section's own lines, the highest first; what is handed over to it has no place yet."""
    own = [line for line in lines if not line.taken_from]
    return sorted(own, key=_height) if len(own) > 1 else own


def _depths(passages: Sequence[Sequence[Line]]) -> list[list[tuple[int, Line]]]:
    """The lines of one staff, each with the number of strands over it."""
    lying = depths(passages, held_beside(passages), _height)
    return [
        list(zip(deep, lines, strict=True)) for deep, lines in zip(lying, passages, strict=True)
    ]


def _told(
    section: Section,
    passages: Sequence[PassageLines],
    placed: Sequence[OnStaves],
    language: str,
) -> Iterator[Told]:
    """What is said above the upper staff, passage by passage."""
    beside = held_beside([[*one.upper, *one.lower] for one in placed])
    for at, (passage, (upper, lower)) in enumerate(zip(passages, placed, strict=True)):
        detail = passage.layout.line.get(section.key)
        news = told(upper, lower, detail.marking if detail else "", language)
        taken = [one for one in passage.lines if one.section is section and one.taken_from]
        news = told_of_taken(news, [*upper, *lower], taken)
        held = max((one.until for one in beside if one.after[0] == at), default=None)
        yield from news if held is None else told_beside(news, [*upper, *lower], held)


def _parts(one: _Gathered, planner: MarkPlanner) -> Iterator[SectionPart]:
    section, upper, lower = one.section, one.upper, one.lower
    alone = not lower.lines
    for staff in (upper,) if alone else (upper, lower):
        yield SectionPart(
            section,
            staff.strands,
            _marks(section, staff.lines, planner),
            staff.words,
            one.unsaid,
            staff.ways,
            one.joined,
            section.players if alone else _players(staff.lines),
            staff.lines,
            second=staff is lower,
            struck_again=one.struck_again if staff is upper else (),
        )


def _players(lines: Sequence[Line]) -> int:
    """How many play on a staff at the most; of an odd section the larger half."""
    return max(-int(-line.players // 1) for line in lines)


def _height(line: Line) -> float:
    """Highest first, by what sounds, since lines may carry different voices.

    A line that rests throughout stands where its voice would.
    """
    soundings = line.soundings or line.voice.soundings
    lengths = [max(sounding.length, 1) for sounding in soundings]
    total = sum(
        sounding.midi * length for sounding, length in zip(soundings, lengths, strict=True)
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
    heard.sort(key=attrgetter("bar", "start"))
    return heard
